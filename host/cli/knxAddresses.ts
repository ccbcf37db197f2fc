// `knx-addresses`: makes the table of group addresses, or adds what is new to the one there is.
import { existsSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { syncPath } from '../disk';
import { addressText } from '../integrators/knx/address';
import { completed, groupTable, highest, type Row, readGroupTable } from '../integrators/knx/table';
import { expectDistinct, siteFilesOf } from '../serve/siteFiles';
import { utf8Text } from '../site/fileText';
import type { Site } from '../site/model';
import { counted } from '../words/counted';
import { Mistake, siteOf } from './arguments';

/**
 * The rows of a table of group addresses.
 * @param option that names the file, for the sentences
 * @throws Error with one sentence for the first mistake
 */
export function readAddresses(option: string, file: string): Row[] {
  let bytes: Buffer;
  try {
    bytes = readFileSync(file);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    const why = code === 'ENOENT' ? 'there is no such file' : `the file cannot be read (${code})`;
    throw new Mistake(`${option} ${file}: ${why}; write it with \`nightproof knx-addresses\`.`);
  }
  const told = utf8Text(bytes);
  if (!('text' in told)) throw new Mistake(`${option} ${file}: ${told.message}`);
  return readGroupTable(told.text, file);
}

/** Writes it whole or not at all: what it held must not be lost. @throws Mistake */
function replace(file: string, text: string): void {
  const draft = `${file}.new`;
  try {
    writeFileSync(draft, text);
    // A power cut must not leave the new name on an empty file.
    syncPath(draft);
    renameSync(draft, file);
  } catch (error) {
    rmSync(draft, { force: true });
    throw new Mistake(
      `--out ${file}: the file cannot be written (${(error as NodeJS.ErrnoException).code}); what was there stays.`,
    );
  }
}

async function sitesOf(paths: readonly string[]): Promise<Site[]> {
  const sites: Site[] = [];
  const files = siteFilesOf(paths);
  for (const file of files) sites.push(await siteOf(file));
  expectDistinct(sites.map(({ id }, i) => ({ id, file: files[i] })));
  return sites;
}

export interface KnxAddressesOptions {
  out: string;
  /** First address of what is new; behind the highest in the table if it is not given. */
  from?: number;
}

/** @returns the exit code. @throws Error with one sentence for a mistake */
export async function knxAddressesCommand(
  paths: readonly string[],
  { out, from }: KnxAddressesOptions,
): Promise<number> {
  const sites = await sitesOf(paths);
  const before = existsSync(out) ? readAddresses('--out', out) : [];
  if (from === undefined && before.length === 0)
    throw new Mistake(
      '--from is missing: name the first group address that is to be used, such as --from 5/0/1.',
    );
  const rows = completed(before, sites, from ?? highest(before) + 1);
  replace(out, groupTable(rows));
  const fresh = rows.slice(before.length);
  const last = fresh.at(-1)?.address;
  const range = last === undefined ? '' : `, ${addressText(fresh[0].address!)} to ${addressText(last)}`;
  process.stdout.write(
    `${out}: ${counted(rows.length, 'point')}, ${fresh.length} of them new${range}. Empty the addresses of those that are not wanted.\n`,
  );
  return 0;
}
