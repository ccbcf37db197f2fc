// Rows of entries as everyone else has them.
import type { Entry } from '../../logbook';
import type { Row } from './session';

/** All columns of entries `e` with their controllers `c`. An entry of a controller that is not there has no address. */
export const ENTRIES =
  "SELECT e.entry, coalesce(c.address, '') AS address, e.journal, e.seq, e.kind, e.test, e.at, e.body, e.hash " +
  'FROM entries e LEFT JOIN controllers c ON c.id = e.controller';

export function toEntry(row: Row): Entry {
  const { entry, address, journal, seq, kind, test, at, body, hash } = row as unknown as Entry;
  return { entry, address, journal, seq, kind, test, at, body, hash };
}
