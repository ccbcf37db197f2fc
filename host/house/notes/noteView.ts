// A note as one line of the log book.

import type { LogEntryView } from '../../api/views';
import type { Entry } from '../../logbook/logbook';
import { type ListedFields, listWords } from '../rows/listed';
import { ACCOUNT, type AccountFields, accountWords } from './accountChange';
import { type AttendedFields, windowWords } from './attended';
import { type BaselineFields, rowWords } from './baseline';
import { type CareFields, careWords } from './care';
import { inspectionWords, readInspection } from './inspected';
import { parseNote, WHOLE_SITE } from './notes';
import { type RepairFields, repairWords } from './repairs';
import { type SiteChangeFields, siteChangeWords } from './siteChange';
import { WITHDRAWN, type WithdrawnFields, withdrawalWords } from './withdrawn';

function textOf(entry: Entry, zone: string): string {
  if (entry.kind === 'baseline') {
    const note = parseNote<BaselineFields>(entry);
    const rows = note?.fields.lamps.map(rowWords).join('; ');
    if (note)
      return `${note.who} accepted the measured lamp currents of entry ${note.fields.result}: ${rows}.`;
  }
  if (entry.kind === 'attended') {
    const note = parseNote<AttendedFields>(entry);
    if (note?.fields.to === 0) return `${note.who} ended or cancelled work on this circuit.`;
    if (note) return `${note.who} is working on this circuit from ${windowWords(note.fields, zone)}.`;
  }
  if (entry.kind === 'repaired') {
    const note = parseNote<RepairFields>(entry);
    if (note) return `${note.who} ${repairWords(note.fields, note.at, zone)}`;
  }
  if (entry.kind === 'inspection') {
    const check = readInspection(entry);
    if (check) return `${check.who} ${inspectionWords(check, entry.at, zone)}`;
  }
  if (entry.kind === 'defect') {
    const note = parseNote<CareFields>(entry);
    if (note) return `${note.who} ${careWords(note.fields)}`;
  }
  if (entry.kind === 'site') {
    const note = parseNote<SiteChangeFields>(entry);
    if (note) return `${note.who} ${siteChangeWords(note.fields)}`;
  }
  if (entry.kind === ACCOUNT) {
    const note = parseNote<AccountFields>(entry);
    if (note) return `${note.who} ${accountWords(note.fields, zone)}`;
  }
  if (entry.kind === WITHDRAWN) {
    const note = parseNote<WithdrawnFields>(entry);
    if (note) return `${note.who} ${withdrawalWords(note.fields)}`;
  }
  if (entry.kind === 'listed') {
    const note = parseNote<ListedFields>(entry);
    if (note) return listWords(note.fields);
  }
  return 'A note of a kind unknown to this host.';
}

/** By which account it was entered; '' where nobody signed in. */
function signedIn(entry: Entry): string {
  const account = parseNote<{ account?: string }>(entry)?.fields.account;
  return account === undefined ? '' : ` Signed in as ${account}.`;
}

/** A note of the host's own, as readers get it. */
export function noteView(entry: Entry, circuit: string, zone: string): LogEntryView {
  const { entry: number, at, kind, body, hash } = entry;
  const about = circuit === WHOLE_SITE ? '' : circuit;
  const text = `${textOf(entry, zone)}${signedIn(entry)}`;
  return { entry: number, at, circuit: about, kind, text, mark: 'note', body, hash };
}
