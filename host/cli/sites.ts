// One site file by itself is one building, with --db; everything else is several, with --logbooks.
import { Argument, Option } from 'commander';
import { isFolder } from '../serve/siteFiles';
import { DEMO_SITE, Mistake } from './arguments';

/** Folder of the log books of several buildings. */
export const DEFAULT_FOLDER = 'logbooks';

export function sitesArgument(): Argument {
  return new Argument('[site...]', 'site file, or several, or a folder of them').default(
    [DEMO_SITE],
    'the fictitious museum in docs/examples',
  );
}

export function logbooksOption(): Option {
  return new Option(
    '--logbooks <folder>',
    `of several buildings: folder of their log books, each named by its site's id (default: "${DEFAULT_FOLDER}")`,
  );
}

export function isOneSite(paths: readonly string[], logbooks: string | undefined): boolean {
  return paths.length === 1 && logbooks === undefined && !isFolder(paths[0]);
}

/** @throws Mistake where several buildings are given the log book of one */
export function expectNoDb(isDbGiven: boolean): void {
  if (isDbGiven)
    throw new Mistake(
      '--db names the log book of one building; give the folder for those of several with --logbooks.',
    );
}
