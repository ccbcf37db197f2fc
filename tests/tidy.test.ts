// The house rules that a machine can check: who may import whom, where clocks and randomness come from, which
// top-level folders exist, and how long a file may grow.
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join, posix, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..');
const SKIPPED = new Set(['node_modules', 'build', 'coverage', '.git']);
const TOP = [
  ...['README.md', 'DEVELOPERS.md', 'LICENSE', 'package.json', 'package-lock.json', 'tsconfig.json'],
  ...['firmware', 'host', 'simulator', 'tests', 'docs'],
];
const CODE = /\.(ts|tsx|js|mjs|css)$/;
const TEXT = /\.(ts|tsx|js|mjs|css|md|json|yaml|yml|svg|html|sh)$|(^|\/)(run|LICENSE|\.gitignore)$/;
/** Files that a start leaves beside the sources, none of them committed: see .gitignore. */
const LEFT_OVER = /\.(db|db-wal|db-shm|db-journal|secret|accounts|accounts-journal|tls)$/;

/** Paths of all files under `folder`, with forward slashes, from the root of the repository. */
function walk(folder = ''): string[] {
  return readdirSync(join(ROOT, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = folder ? `${folder}/${entry.name}` : entry.name;
    // `build` at the top holds build output; firmware/build is source.
    if (entry.isDirectory())
      return SKIPPED.has(entry.name) && (entry.name !== 'build' || !folder) ? [] : walk(path);
    return LEFT_OVER.test(path) ? [] : [path];
  });
}

const files = walk();
const read = (path: string): string => readFileSync(join(ROOT, path), 'utf8');

/**
 * Imports and re-exports with a relative path; the first word inside shows whether only types are imported.
 */
const IMPORT =
  /(?:^|\n)\s*(?:import|export)\b([^'"`;=]*?)['"](\.[^'"]+)['"]|\bimport\(\s*['"](\.[^'"]+)['"]\s*\)/g;

/** Files that `path` imports, as paths from the root; packages are left out. */
function importsOf(path: string, atRunTime: boolean): string[] {
  const isWanted = (clause = '') => !atRunTime || !/^\s*type\b/.test(clause);
  const found = [...read(path).matchAll(IMPORT)].filter((match) => isWanted(match[1]));
  return found.map((match) => resolve(path, match[2] ?? match[3]));
}

function resolve(from: string, target: string): string {
  const base = posix.join(posix.dirname(from), target);
  const candidates = [base, `${base}.ts`, `${base}.tsx`, `${base}.d.ts`, `${base}/index.ts`];
  const hit = candidates.find((c) => existsSync(join(ROOT, c)) && statSync(join(ROOT, c)).isFile());
  if (!hit) throw new Error(`${from} imports ${target}, which does not exist.`);
  return relative(ROOT, join(ROOT, hit)).split(sep).join('/');
}

const sources = files.filter((f) => /^(firmware|host|simulator)\/.*\.(ts|tsx)$/.test(f));
const graph = new Map(sources.map((f) => [f, importsOf(f, false)]));
const runTimeGraph = new Map(sources.map((f) => [f, importsOf(f, true)]));

/** Imports from `room` that go anywhere they may not. */
function strays(room: RegExp, allowed: RegExp): string[] {
  return sources
    .filter((f) => room.test(f))
    .flatMap((f) => (graph.get(f) ?? []).filter((to) => !allowed.test(to)).map((to) => `${f} -> ${to}`));
}

/** One cycle through the graph as a list of names, or an empty list. */
function cycleIn(edges: Map<string, Iterable<string>>): string[] {
  const state = new Map<string, 'open' | 'done'>();
  const path: string[] = [];
  const visit = (node: string): string[] => {
    if (state.get(node) === 'done') return [];
    if (state.get(node) === 'open') return [...path.slice(path.indexOf(node)), node];
    state.set(node, 'open');
    path.push(node);
    for (const next of edges.get(node) ?? []) {
      const cycle = visit(next);
      if (cycle.length > 0) return cycle;
    }
    path.pop();
    state.set(node, 'done');
    return [];
  };
  for (const node of edges.keys()) {
    const cycle = visit(node);
    if (cycle.length > 0) return cycle;
  }
  return [];
}

/** The folder of a file; one directly in firmware, host or simulator counts as a room of its own. */
function roomOf(path: string): string {
  const folder = posix.dirname(path);
  return folder.includes('/') ? folder : path;
}

function folderGraph(): Map<string, Set<string>> {
  const folders = new Map<string, Set<string>>();
  for (const [from, targets] of graph) {
    const own = roomOf(from);
    const out = folders.get(own) ?? new Set();
    for (const to of targets) if (roomOf(to) !== own) out.add(roomOf(to));
    folders.set(own, out);
  }
  return folders;
}

describe('imports', () => {
  it.each([
    ['the contract imports only itself', /^firmware\/contract\//, /^firmware\/contract\//],
    ['the core imports only the contract and itself', /^firmware\/core\//, /^firmware\/(contract|core)\//],
    [
      'the journal imports the contract, the ports and itself',
      /^firmware\/journal\//,
      /^firmware\/(contract\/|journal\/|ports\.ts)/,
    ],
    [
      'the board knows nothing of the program that runs on it',
      /^firmware\/board\//,
      /^firmware\/(board\/|contract\/|core\/|journal\/crc32\.ts|link\/link\.ts|ports\.ts)/,
    ],
    ['the firmware imports nothing of host or simulator', /^firmware\//, /^firmware\//],
    ['the simulator imports the firmware and itself', /^simulator\//, /^(firmware|simulator)\//],
    [
      'the host imports itself and the contract, and nothing else of the firmware',
      /^host\/(?!cli\/|rehearse\/|flash\/)/,
      /^(host|firmware\/contract)\//,
    ],
    [
      'what is written to a board may know its data and build its program',
      /^host\/flash\//,
      /^(host|firmware\/contract|firmware\/build)\/|^firmware\/board\/(board|config)\.ts/,
    ],
    [
      'only rehearsals and the command line of the host may run the simulator, and the latter build the firmware',
      /^host\/(cli|rehearse)\//,
      /^(host|simulator|firmware\/contract|firmware\/build)\//,
    ],
    [
      'the shapes of the API know only the site and the contract',
      /^host\/api\//,
      /^host\/(api|words)\/|^host\/site\/model\.ts|^firmware\/contract\//,
    ],
    ['nothing but the command line knows its verbs', /^(?!host\/cli\/)/, /^(?!host\/cli\/)/],
    [
      'the page knows only what the server promises it, and writes lengths and names as the server does',
      /^host\/page\//,
      /^host\/(page|api)\/|^host\/site\/model\.ts|^host\/words\/(capital|counted|freeText|length|person)\.ts|^host\/loopback\.ts|^firmware\/contract\//,
    ],
  ])('%s', (_rule, room, allowed) => {
    expect(sources.some((f) => room.test(f))).toBe(true);
    expect(strays(room, allowed)).toEqual([]);
  });

  it('form no cycle, neither between files nor between folders', () => {
    // Type-only imports are gone at run time; between folders even they may form no cycle.
    expect(cycleIn(runTimeGraph)).toEqual([]);
    expect(cycleIn(folderGraph())).toEqual([]);
  });

  it('are caught when they form a cycle', () => {
    const ring = new Map([
      ['a', ['b']],
      ['b', ['c']],
      ['c', ['b']],
    ]);
    expect(cycleIn(ring)).toEqual(['b', 'c', 'b']);
  });
});

/** Lines of these files that match, as "file:line". */
function lines(among: string[], pattern: RegExp): string[] {
  return among.flatMap((f) =>
    read(f)
      .split('\n')
      .flatMap((text, i) => (pattern.test(text) ? [`${f}:${i + 1}`] : [])),
  );
}

describe('the sources', () => {
  const own = 'tests/tidy.test.ts';
  const texts = files.filter((f) => TEXT.test(f) && f !== own && f !== 'package-lock.json');

  it("contain no path of anyone's machine", () => {
    expect(lines(texts, /(^|[^\w.<>}-])\/(work|tmp|root|home)(\/|\b(?=['"`\s]))/)).toEqual([]);
  });

  it('leave no marker for later', () => {
    expect(lines(texts, /\b(TODO|FIXME|XXX|HACK)\b/)).toEqual([]);
  });

  it('take the time only where they may', () => {
    const pure = sources.filter((f) => /^(firmware\/(core|contract|journal|link)|host|simulator)\//.test(f));
    const clocks = lines(
      pure.filter((f) => f !== 'host/clock.ts' && f !== 'host/page/state/phoneClock.ts'),
      /\bDate\.now\(|\bnew Date\(\)/,
    );
    expect(clocks).toEqual([]);
  });

  it('use no uncontrolled randomness in firmware and simulator', () => {
    expect(
      lines(
        sources.filter((f) => /^(firmware\/(?!board)|simulator)\//.test(f)),
        /\bMath\.random\b/,
      ),
    ).toEqual([]);
  });

  it('stand under the agreed names at the top', () => {
    const top = readdirSync(ROOT).filter(
      (name) => !name.startsWith('.') && !SKIPPED.has(name) && !LEFT_OVER.test(name),
    );
    expect(top.filter((name) => !TOP.includes(name))).toEqual([]);
  });
});

describe('the files', () => {
  const code = files.filter((f) => CODE.test(f));
  const length = (f: string) => read(f).split('\n').length - 1;
  // The aim is a file about one thing. A file is never split just for its length, but one beyond these limits
  // is rarely about one thing.
  // A language of the page is one file, so that it can be added or mended as one.
  const bound = (f: string) =>
    f.startsWith('host/page/tongues/') ? 1700 : f.startsWith('tests/') ? 900 : 500;

  it('stay within their limits', () => {
    const over = code
      .filter((f) => length(f) > bound(f))
      .map((f) => `${f}: ${length(f)} lines, ${bound(f)} allowed`);
    expect(over).toEqual([]);
  });

  it('are named after what is in them, not as the overflow of another file', () => {
    expect(files.filter((f) => /(Edges|More|Continued)(\.\w+)*$/.test(posix.basename(f)))).toEqual([]);
  });
});
