import { spawnSync } from 'node:child_process';
import { chmodSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';

it('a file that is there counts as saved, even if its folder cannot be synced', () => {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-site-file-'));
  try {
    const file = join(folder, 'mill.yaml');
    writeFileSync(file, 'id: mill\n');
    const script = join(import.meta.dirname, 'closedFolder.ts');
    const { stderr, status } = spawnSync(process.execPath, ['--import', 'tsx', script, file, 'id: other\n'], {
      encoding: 'utf8',
    });
    chmodSync(folder, 0o700);
    expect(readFileSync(file, 'utf8')).toBe('id: other\n');
    expect([status, stderr]).toEqual([0, '']);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});
