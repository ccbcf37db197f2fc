// Hosts with one deliberate break, as scripts: the process of a campaign's real host, compiled with one place in its
// sources replaced.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const ROOT = fileURLToPath(new URL('../../../../', import.meta.url));

export interface BrokenHost {
  name: string;
  /** File in host/, the place in it, and what stands there instead. */
  file: string;
  find: string;
  replace: string;
}

export const BROKEN_HOSTS: BrokenHost[] = [
  {
    name: 'it acknowledges before the commit',
    file: 'ingest/ingest.ts',
    find: 'results = await this.o.logbook.appendBatch(',
    replace:
      'for (const { filed: f } of batch) (this.answers as any).send(f.address, "ack", ' +
      '{ v: 1, journal: f.journal, through: f.seq }, 1);\n results = await this.o.logbook.appendBatch(',
  },
  {
    name: 'its commits do not reach the disk',
    file: 'logbook/engines/sqlite/openDb.ts',
    find: "db.pragma('synchronous = FULL')",
    replace: "db.pragma('synchronous = OFF')",
  },
  {
    name: 'it files a record again that it has',
    file: 'logbook/filing.ts',
    find: "if (this.shelf.body(controller, r.journal, r.seq) === r.body) return { outcome: 'duplicate' };",
    replace: '',
  },
];

/** Compiles a broken host into `outfile`. @throws Error unless its place is found exactly once */
export async function buildBroken({ name, file, find, replace }: BrokenHost, outfile: string): Promise<void> {
  const source = readFileSync(`${ROOT}host/${file}`, 'utf8');
  if (source.split(find).length !== 2) throw new Error(`"${name}": its place is not found once in ${file}.`);
  await build({
    ...{ absWorkingDir: ROOT, entryPoints: ['host/rehearse/realHost/process.ts'], outfile },
    ...{ bundle: true, format: 'iife', platform: 'node', external: ['libsql'], logLevel: 'silent' },
    plugins: [
      {
        name: 'broken',
        setup(b) {
          b.onLoad({ filter: /\.ts$/ }, ({ path }) =>
            path === `${ROOT}host/${file}`
              ? { contents: source.replace(find, () => replace), loader: 'ts' }
              : undefined,
          );
        },
      },
    ],
  });
}
