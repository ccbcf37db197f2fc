// Controller firmware: TypeScript to one file of ES5 that the interpreter runs from flash. compile -> bundle
// without wrapper -> gate -> inline -> nest -> minify -> gate -> check that the upload tool leaves it
// unchanged.
import { copyFileSync, mkdirSync, writeFileSync } from 'node:fs';
import { basename, join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { parse } from 'acorn';
import { rollup } from 'rollup';
import { type CompressOptions, minify } from 'terser';
import { loadBoards, type NamedBoard } from './boards';
import { type Compiled, compile, compiledModules } from './compile';
import { chosenDrivers, DEFAULT_DRIVERS, type Drivers, driversOf } from './driver';
import { BuildError } from './failure';
import { budgetTable, estimatedCells } from './fits';
import { describe, type GateOptions, gate } from './gate';
import { inlineAll } from './inline';
import { nest } from './nest';
import { NESTING } from './often';
import { outsideNames, reservedNames } from './reserved';
import { METHODS } from './rules/missing';
import { checkUpload } from './upload';

const FIRMWARE = fileURLToPath(new URL('..', import.meta.url));
const OUT = fileURLToPath(new URL('../../build/firmware', import.meta.url));

export interface FirmwareBuild {
  /** File names of the readable and the minified bundle. */
  bundle: string;
  minified: string;
  bundleBytes: number;
  minifiedBytes: number;
  /** Most memory cells the minified bundle is expected to need, its state included. */
  estimatedCells: number;
}

/** Joins the compiled modules without a wrapper function, which would cost about 190 cells. */
async function bundle(compiled: Compiled, entry: string): Promise<string> {
  const build = await rollup({
    input: entry,
    plugins: [compiledModules(compiled)],
    // Rollup only warns of a circular import; the interpreter does not hoist, so the program would not run.
    onwarn(warning) {
      throw new BuildError('The firmware cannot be bundled', [warning.message]);
    },
  });
  const { output } = await build.generate({ format: 'es' });
  await build.close();
  const shared = compiled.variables.map((name) => `var ${name};\n`).join('');
  return shared + output[0].code.replace(/^export \{.*\};?\s*$/m, '');
}

/**
 * The interpreter does not hoist, so the minifier must. The first pass does not move functions to their call
 * (`reduce_funcs`): the interpreter would create them again at every call. `return text += more` stays as it
 * is (`dead_code`): the interpreter then extends the text in place, but would copy it for `text + more`.
 */
const SHRINK: CompressOptions = {
  toplevel: true,
  hoist_funs: true,
  hoist_vars: true,
  inline: 1,
  reduce_funcs: false,
  unsafe: false,
  keep_infinity: true,
  dead_code: false,
};

/** The second pass folds what `nest` has put inside other functions, and leaves the program's own alone. */
const FOLD: CompressOptions = { ...SHRINK, toplevel: 'vars' as unknown as boolean, reduce_funcs: true };

/** Minifies for the interpreter, to ASCII, because the upload tool re-encodes anything else. */
async function minifyBundle(code: string, drivers: Drivers): Promise<string> {
  const reserved = [...outsideNames(FIRMWARE, drivers), ...METHODS];
  const properties = { reserved, builtins: true, keep_quoted: 'strict' } as const;
  const shrunk = await minify(code, { ecma: 5, toplevel: true, compress: SHRINK, mangle: false });
  const result = await minify(shrunk.code ?? '', {
    ecma: 5,
    compress: FOLD,
    mangle: { toplevel: true, reserved: reservedNames(), properties },
    format: { ascii_only: true, ecma: 5 },
  });
  return `${variablesFirst(result.code ?? '')}\n`;
}

/**
 * Variables come before functions: the interpreter looks names up in order, so the first are found fastest.
 */
function variablesFirst(code: string): string {
  const { body } = parse(code, { ecmaVersion: 5 });
  const isBare = (node: (typeof body)[number]) =>
    node.type === 'VariableDeclaration' && node.declarations.every((one) => !one.init);
  const texts = (bare: boolean) =>
    body.filter((node) => isBare(node) === bare).map((node) => code.slice(node.start, node.end));
  return [...texts(true), ...texts(false)].join('');
}

function mustPass(file: string, code: string, options: GateOptions): void {
  const findings = gate(code, options);
  if (findings.length === 0) return;
  const places = findings.map((finding) => `${file}:${describe(finding)}`);
  throw new BuildError('The interpreter would not run this bundle as it is meant', places);
}

/**
 * Builds the firmware.
 * @param options.entry main file, `firmware/main.ts` by default.
 * @param options.drivers drivers of the program; by default the built-in converter, Wi-Fi and no clock chip.
 * @param options.outDir folder for both bundles, `build/firmware` by default; created when missing.
 * @throws BuildError with one sentence when any step fails; the failed bundle stays on disk for inspection.
 */
export async function buildFirmware(
  options: { entry?: string; outDir?: string; drivers?: Partial<Drivers> } = {},
): Promise<FirmwareBuild> {
  const entry = resolve(options.entry ?? join(FIRMWARE, 'main.ts'));
  const outDir = resolve(options.outDir ?? OUT);
  const drivers = { ...DEFAULT_DRIVERS, ...options.drivers };
  const bundleFile = join(outDir, 'nightproof.bundle.js');
  const minifiedFile = join(outDir, 'nightproof.min.js');
  mkdirSync(outDir, { recursive: true });

  const compiled = compile(join(FIRMWARE, 'tsconfig.json'), entry, chosenDrivers(FIRMWARE, drivers));
  const readable = await bundle(compiled, entry);
  writeFileSync(bundleFile, readable);
  mustPass(bundleFile, readable, { strictOrder: true });

  const minified = await minifyBundle(nest(inlineAll(readable), NESTING), drivers);
  writeFileSync(minifiedFile, minified);
  mustPass(minifiedFile, minified, { strictOrder: false });
  checkUpload(minifiedFile, minified);

  return {
    bundle: bundleFile,
    minified: minifiedFile,
    bundleBytes: Buffer.byteLength(readable),
    minifiedBytes: Buffer.byteLength(minified),
    estimatedCells: estimatedCells(Buffer.byteLength(minified)),
  };
}

function copyTo(folder: string, { bundle, minified }: FirmwareBuild): void {
  mkdirSync(folder, { recursive: true });
  for (const file of [bundle, minified]) copyFileSync(file, join(folder, basename(file)));
}

function keyOf(drivers: Drivers): string {
  return JSON.stringify(drivers);
}

/**
 * Builds the program of every board into a folder of its name, and the default one into `outDir` itself.
 * Boards with the same drivers have the same program.
 * @returns one build per set of drivers.
 * @throws BuildError as `buildFirmware`.
 */
export async function buildBoards(outDir = OUT): Promise<Map<string, FirmwareBuild>> {
  const built = new Map<string, FirmwareBuild>();
  for (const board of await loadBoards()) {
    const folder = join(outDir, board.name);
    const drivers = driversOf(board);
    const same = built.get(keyOf(drivers));
    if (same) copyTo(folder, same);
    else built.set(keyOf(drivers), await buildFirmware({ outDir: folder, drivers }));
  }
  const usual = built.get(keyOf(DEFAULT_DRIVERS));
  if (usual) copyTo(outDir, usual);
  else built.set(keyOf(DEFAULT_DRIVERS), await buildFirmware({ outDir }));
  return built;
}

async function main(): Promise<void> {
  try {
    const built = await buildBoards();
    const bytesOf = (board: NamedBoard): number => built.get(keyOf(driversOf(board)))!.minifiedBytes;
    console.log(budgetTable(await loadBoards(), bytesOf));
    console.log(`Programs: ${OUT}`);
  } catch (failure) {
    console.error(failure instanceof Error ? failure.message : String(failure));
    process.exitCode = 1;
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) await main();
