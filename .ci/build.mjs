// Prebuilds into build/ what then runs without a compiler: with --programs the command line and host, the threads
// of the simulator and the page; with --firmware the program of each board; both without either, and with
// --release both from nothing. Plain Node.
// Only what has changed is built, and a file appears whole or not at all, so several of these may run at once.
import { createHash, randomUUID } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = dirname(dirname(fileURLToPath(import.meta.url)));
const OUT = join(ROOT, 'build');
const DAY_MS = 86_400_000;

const PROGRAMS = ['host', 'board', 'simulator', 'page', 'proof'];
/** All that is made here, in build/. */
const BUILT = [...PROGRAMS, 'programs.sha256', 'firmware', 'firmware.sha256'];
const THREADS = ['campaign', 'explore', 'run'];
const REAL_HOST = ['worker', 'process'];
/** The languages a browser loads only where somebody reads them: see host/page/tongues/names.ts. */
const TONGUES = ['de', 'fr', 'it'];
const BOARDS = 'firmware/board/boards';
/** Marks a file that is still being written. */
const UNFINISHED = '.unfinished-';

const CONFIGURATION = ['package-lock.json', 'tsconfig.json', '.ci/build.mjs'];

/** Paths of all files in a folder, from the root. */
function filesIn(folder) {
  return readdirSync(join(ROOT, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = `${folder}/${entry.name}`;
    return entry.isDirectory() ? filesIn(path) : [path];
  });
}

/** One hash over names and contents of all files in these folders, and of what says how to build them. */
function hashOf(folders) {
  const hash = createHash('sha256');
  for (const file of [...folders.flatMap(filesIn), ...CONFIGURATION].sort())
    hash.update(`${file}\0`).update(
      createHash('sha256')
        .update(readFileSync(join(ROOT, file)))
        .digest(),
    );
  return hash.digest('hex');
}

/** Contents of a file; undefined where it is not there. */
function contentOf(file) {
  try {
    return readFileSync(file);
  } catch {
    return undefined;
  }
}

/** Puts a file in its place in one step. One that is there already stays. */
function put(file, content) {
  if (contentOf(file)?.equals(content)) return;
  mkdirSync(dirname(file), { recursive: true });
  const beside = `${file}${UNFINISHED}${randomUUID()}`;
  writeFileSync(beside, content);
  renameSync(beside, file);
}

/** Removes what no build makes any more. Parts named by their hash stay a day for programs that still run. */
function sweep(folder, kept) {
  for (const entry of readdirSync(folder, { withFileTypes: true, recursive: true })) {
    const file = join(entry.parentPath ?? entry.path, entry.name);
    if (!entry.isFile() || kept.has(file)) continue;
    const mayBeInUse = basename(folder) === 'host' || file.includes(UNFINISHED);
    const { mtimeMs = 0 } = statSync(file, { throwIfNoEntry: false }) ?? {};
    if (!mayBeInUse || mtimeMs < Date.now() - DAY_MS) rmSync(file, { force: true });
  }
}

/** What all programs for Node share. Readable, so that a stack trace is, too; the map leads to the sources. */
const NODE = {
  absWorkingDir: ROOT,
  outdir: OUT,
  bundle: true,
  write: false,
  platform: 'node',
  target: 'node20',
  sourcemap: true,
  sourcesContent: false,
  logLevel: 'silent',
};

/** The command line, its verbs loaded when asked for, and each board as a file that can be listed. */
function commandLine({ build }) {
  const boards = filesIn(BOARDS).map((file) => [`board/boards/${basename(file, '.ts')}`, file]);
  return build({
    ...NODE,
    entryPoints: Object.fromEntries([...boards, ['host/main', 'host/cli/main.ts']]),
    // One folder for all parts: what they find by their own place is found from any of them.
    chunkNames: 'host/[name]-[hash]',
    // Writes `{ ...{ a, b }, c }` as one object: three times as fast, where 20,000 luminaires are told of.
    minifySyntax: true,
    splitting: true,
    format: 'esm',
    packages: 'external',
  });
}

/**
 * Each thread as one script: in a script, numbers that never change stand in the code itself. Beside them what one of
 * them runs, for runs without threads, and the process that plays the host of a campaign, which is started often.
 */
function threads({ build }) {
  const entries = [
    ...THREADS.map((room) => [`simulator/${room}/worker`, `simulator/${room}/worker.ts`]),
    ['simulator/run/shard', 'simulator/run/shard.ts'],
    ...REAL_HOST.map((name) => [`simulator/realHost/${name}`, `host/rehearse/realHost/${name}.ts`]),
  ];
  const options = {
    entryPoints: Object.fromEntries(entries),
    outExtension: { '.js': '.cjs' },
    format: 'cjs',
    external: ['libsql'],
  };
  return build({ ...NODE, ...options });
}

/** What runs in a browser: the host's page, and the verifier that stands inside every proof file. */
function page({ build }, entryPoints, format) {
  return build({
    absWorkingDir: ROOT,
    outdir: OUT,
    entryPoints,
    bundle: true,
    write: false,
    minify: true,
    format,
    target: 'es2022',
    jsx: 'automatic',
    jsxImportSource: 'preact',
    define: { 'process.env.NODE_ENV': '"production"' },
    logLevel: 'silent',
  });
}

/** Imports what builds. @throws Error with one sentence where it is not installed */
async function compiler(name) {
  try {
    return await import(name);
  } catch {
    throw new Error('Nothing can be built without the development dependencies: run `npm ci --include=dev`.');
  }
}

/** Runs `make` where a source in these folders has changed since it last ended well. */
async function whenStale(name, folders, make) {
  const stamp = join(OUT, `${name}.sha256`);
  const hash = hashOf(folders);
  if (String(contentOf(stamp)) === hash) return;
  await make();
  put(stamp, Buffer.from(hash));
}

async function makePrograms() {
  const esbuild = await compiler('esbuild');
  const built = await Promise.all([
    ...[commandLine(esbuild), threads(esbuild)],
    page(esbuild, { 'page/app': 'host/page/main.tsx' }, 'esm'),
    // Apart from the page, so that no part is shared: each language is one file that a browser asks for.
    page(
      esbuild,
      Object.fromEntries(TONGUES.map((tag) => [`page/tongues/${tag}`, `host/page/tongues/${tag}.ts`])),
      'esm',
    ),
    page(esbuild, { 'proof/verifier': 'host/proof/file/page/main.tsx' }, 'iife'),
  ]);
  const files = built.flatMap(({ outputFiles }) => outputFiles);
  // The command line itself last: what it loads is there by then.
  const isMain = ({ path }) => path === join(OUT, 'host/main.js');
  for (const { path, contents } of [...files.filter((f) => !isMain(f)), ...files.filter(isMain)])
    put(path, Buffer.from(contents));
  const kept = new Set(files.map(({ path }) => path));
  for (const folder of PROGRAMS) sweep(join(OUT, folder), kept);
}

/**
 * Builds the programs for Node and the page where a source has changed: in about a second, and in a tenth of one
 * when there is nothing to do.
 * @throws Error in words when a source is broken or the compiler is missing
 */
export function buildPrograms() {
  return whenStale('programs', ['firmware', 'host', 'simulator'], makePrograms);
}

async function makeFirmware() {
  const { tsImport } = await compiler('tsx/esm/api');
  const { buildBoards } = await tsImport('../firmware/build/build.ts', import.meta.url);
  const folder = join(OUT, 'firmware');
  const unfinished = join(OUT, `firmware${UNFINISHED}${randomUUID()}`);
  try {
    await buildBoards(unfinished);
    const kept = new Set();
    for (const name of readdirSync(unfinished, { recursive: true })) {
      const file = join(unfinished, name);
      if (!statSync(file).isFile()) continue;
      put(join(folder, name), readFileSync(file));
      kept.add(join(folder, name));
    }
    sweep(folder, kept);
  } finally {
    rmSync(unfinished, { recursive: true, force: true });
  }
}

/** Builds the program of every board where a source has changed, in some seconds. @throws Error in words */
export function buildFirmwares() {
  return whenStale('firmware', ['firmware'], makeFirmware);
}

/** For vitest: before the first test, and before those that a change of a source starts again. */
export async function setup(project) {
  project.onTestsRerun(buildPrograms);
  await buildPrograms();
}

async function main(only) {
  try {
    if (only === '--release')
      for (const name of BUILT) rmSync(join(OUT, name), { recursive: true, force: true });
    if (only !== '--firmware') await buildPrograms();
    if (only !== '--programs') await buildFirmwares();
  } catch (error) {
    process.stderr.write(`${error.message}\n`);
    // An installation without the development dependencies is no failure: it may have been built elsewhere.
    process.exitCode = process.env.npm_lifecycle_event === 'prepare' ? 0 : 1;
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) await main(process.argv[2]);
