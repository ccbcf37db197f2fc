// What the documents name must exist: files, functions, and the options of the command line.
import { execFile } from 'node:child_process';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const pages = [
  'README.md',
  'DEVELOPERS.md',
  ...readdirSync(join(root, 'docs'))
    .filter((name) => name.endsWith('.md'))
    .map((name) => join('docs', name)),
];
const textOf = (page: string): string => readFileSync(join(root, page), 'utf8');

describe.each(pages)('%s', (page) => {
  it('links only to what exists', () => {
    const links = [...textOf(page).matchAll(/\]\(([^)#:]+)\)/g)].map((match) => match[1]);
    expect(links.filter((link) => !existsSync(join(root, dirname(page), link)))).toEqual([]);
  });

  it('names only source files and folders that exist', () => {
    const named = [...textOf(page).matchAll(/`((?:firmware|host|simulator|tests|docs)\/[\w./-]*)`/g)];
    expect(named.map((match) => match[1]).filter((path) => !existsSync(join(root, path)))).toEqual([]);
  });
});

it('README lists every option of every command, and no other', async () => {
  const rows = textOf('README.md').split('\n');
  const main = join(root, 'build/host/main.js');
  const commands = [
    ['init'],
    ['import'],
    ['export'],
    ['check'],
    ['profiles'],
    ['plan'],
    ['simulate'],
    ['explore'],
    ['campaign'],
    ['serve'],
    ['accounts', 'list'],
    ['accounts', 'add'],
    ['accounts', 'role'],
    ['accounts', 'disable'],
    ['accounts', 'enable'],
    ['accounts', 'reset'],
    ['boards'],
    ['commission'],
    ['broker-files'],
    ['contract'],
    ['knx-addresses'],
    ['attend'],
    ['repaired'],
    ['duties'],
    ['inspected'],
    ['withdraw'],
    ['baseline', 'list'],
    ['baseline', 'accept'],
    ['report'],
    ['labels'],
    ['logbook', 'verify'],
    ['logbook', 'evidence'],
    ['logbook', 'backup'],
    ['logbook', 'restore'],
    ['logbook', 'export'],
    ['demo'],
  ];
  const run = promisify(execFile);
  for (const command of commands) {
    const args = [main, ...command, '--help'];
    const { stdout } = await run(process.execPath, args, { cwd: root });
    const options = [...stdout.matchAll(/^ {2}(--[\w-]+(?: [<[][\w.]+[>\]])?) /gm)].map((match) => match[1]);
    const first = rows.findIndex((row) => row.startsWith(`| \`${command.join(' ')}`));
    expect(first, command.join(' ')).toBeGreaterThan(0);
    const listed: string[] = [];
    for (let i = first + 1; rows[i].startsWith('| | '); i++) listed.push(rows[i].split('`')[1]);
    expect(listed, command.join(' ')).toEqual(options);
  }
});
