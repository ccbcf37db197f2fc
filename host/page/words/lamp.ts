// What is known of one luminaire: its state, what was last proven, and the last attempt.
import type { LampStatus, LampVerdict } from '../../api/views';
import type { Luminaire } from '../../site/model';
import { lengthWord } from '../../words/length';
import { t } from '../tongues/tongue';
import { hostWords } from './hostWords';
import { kindName } from './kinds';
import { dayAndTime } from './time';
import { verdictName } from './tone';

/** The newest result of a luminaire, and the newest that proved something. */
type Last = Pick<LampStatus, 'proven' | 'attempt'>;

function resultWords({ verdict, kind, at }: LampVerdict, zone: string): string {
  return `${verdictName(verdict)}, ${kindName(kind)}, ${dayAndTime(at, zone)}`;
}

/** "pass, function test, Tue 6 Jan 2026, 02:14"; void results are passed over. "nothing yet" if there is none. */
export function provenWords(lamp: Last | undefined, zone: string): string {
  return lamp?.proven ? resultWords(lamp.proven, zone) : t.lamp.nothingYet;
}

/** The newest result, with the reason if it was void; "the same" if it is the one that proved the state. */
export function attemptWords(lamp: Last | undefined, zone: string): string {
  if (!lamp?.attempt) return t.lamp.noneYet;
  const { attempt, proven } = lamp;
  if (proven && attempt.at === proven.at && attempt.kind === proven.kind) return t.lamp.same;
  const reason = attempt.verdict === 'void' ? `. ${hostWords(attempt.reason)}` : '';
  return `${resultWords(attempt, zone)}${reason}`;
}

/** Both with their names, side by side. */
export function lastWords(lamp: Last, zone: string): [string, string][] {
  return [
    [t.circuit.lastProven, provenWords(lamp, zone)],
    [t.circuit.lastAttempt, attemptWords(lamp, zone)],
  ];
}

/** "pass, lit 3 h, Tue 6 Jan 2026, 02:14" of the last duration test that proved something. */
export function fullWords(lamp: LampStatus | undefined, zone: string): string {
  if (!lamp || lamp.fullSeconds === null) return t.lamp.noneYet;
  const verdict = t.verdicts[lamp.fullVerdict];
  return t.lamp.lit(verdict, lengthWord(lamp.fullSeconds), dayAndTime(lamp.fullAt, zone));
}

/** "140 mA". With the zero offset removed, a dark lamp's reading may lie a little below zero: that is 0 mA. */
export function milliampsWord(milliamps: number): string {
  return `${Math.max(0, milliamps)} mA`;
}

/** Where the currents are from that nobody has accepted; it follows them. */
export function sourceWords({ isExpected }: Pick<Luminaire, 'isExpected'>): string {
  return isExpected ? t.luminaire.expected : t.luminaire.fromSite;
}
