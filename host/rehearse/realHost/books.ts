// The files of a run with a real host, and the commands of the log book that a person would use on them.
import { execFile } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, renameSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { keepSeededKeys, secretFileOf } from '../../keys';
import { type Contents, contentsOf } from './account';

export interface Told {
  code: number;
  out: string;
  said: string;
}

export class Books {
  readonly db: string;
  readonly undo: string;
  private readonly folder: string;
  private backups = 0;
  private lost = 0;

  constructor(
    /** The command line, built. */
    private readonly commandLine: string,
    seed: number,
  ) {
    this.folder = mkdtempSync(join(tmpdir(), 'nightproof-campaign-'));
    this.db = join(this.folder, 'log.db');
    this.undo = join(this.folder, 'undo');
    keepSeededKeys(secretFileOf(this.db), seed);
  }

  /** All in the log book as it lies there. @throws Error if it cannot be read */
  contents(): Contents {
    return contentsOf(this.db, join(this.folder, 'scratch'));
  }

  private command(...args: string[]): Promise<Told> {
    return new Promise((resolve) => {
      const words = [this.commandLine, 'logbook', ...args, '--db', this.db];
      execFile(process.execPath, words, { maxBuffer: 1 << 26 }, (error, out, said) => {
        resolve({ code: error ? Number(error.code ?? -1) : 0, out, said });
      });
    });
  }

  private backupFile(): string {
    return join(this.folder, `backup-${this.backups}.db`);
  }

  isThere(): boolean {
    return existsSync(this.db);
  }

  /** `logbook backup` into a new file. */
  async backup(): Promise<Told> {
    this.backups++;
    const told = await this.command('backup', this.backupFile());
    if (told.code !== 0) this.backups--;
    return told;
  }

  /** The log book is lost; `logbook restore` puts the newest backup in its place. Undefined: there is none. */
  async restore(): Promise<Told | undefined> {
    if (this.backups === 0) return undefined;
    const aside = join(this.folder, `lost-${++this.lost}`);
    mkdirSync(aside);
    for (const end of ['', '-wal', '-shm', '-journal'])
      if (existsSync(this.db + end)) renameSync(this.db + end, join(aside, `log.db${end}`));
    return this.command('restore', this.backupFile());
  }

  verify(): Promise<Told> {
    return this.command('verify', '--json');
  }

  remove(): void {
    rmSync(this.folder, { recursive: true, force: true });
  }
}
