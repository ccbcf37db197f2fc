// Which register holds what: one table, from which the registers are filled and docs/modbus.md is written.
import type { BuildingStatus, CircuitStatus, LuminaireStatus } from '../schema';

/** Version of this layout; raised when a reader must change. */
const LAYOUT = 1;

/** A number as registers hold it: one of 16 bits, or two with the high word first. */
interface Field<T> {
  name: string;
  /** What it holds, for the document. */
  what: string;
  words: 1 | 2;
  /** What it holds until that is known. */
  unknown: number;
  /** @param now UTC second */
  of(from: T, now: number): number;
}

export interface Block<T> {
  /** First register, as on the wire (from 0). */
  at: number;
  /** Registers from one thing to the next. */
  stride: number;
  /** Most of these things in one unit. */
  perUnit: number;
  fields: Field<T>[];
}

const NEVER = 0xffff;
/** Of a count: no number of things that are there. */
const UNCOUNTED = 0xffff;
const DAY_SEC = 86_400;

/** Words as numbers from 1 on; 0 is for what is not known. */
function coded<W extends string>(words: readonly W[]) {
  return {
    what: `0 not known, ${words.map((word, i) => `${i + 1} ${word}`).join(', ')}`,
    of: (word: string) => words.indexOf(word as W) + 1,
  };
}

const VERDICT = coded(['pass', 'fail', 'not proven']);
const CONTACT = coded(['reporting', 'late', 'silent', 'never heard']);
const STATE = coded([
  ...['starting', 'charged', 'recharging', 'opening', 'brief', 'full'],
  ...['restoring', 'outage', 'held', 'fault', 'unknown'],
]);
const TROUBLES = ['fault', 'outage', 'held', 'overdue'] as const;

const seconds = (at: string | null): number => (at === null ? 0 : Math.floor(Date.parse(at) / 1000));
const truth = (value: boolean | null): number => (value === null ? 0 : value ? 1 : 2);
const TRUTH = '0 not known, 1 yes, 2 no';

function days(at: string | null, now: number): number {
  return at === null ? NEVER : Math.min(NEVER - 1, Math.max(0, Math.floor((now - seconds(at)) / DAY_SEC)));
}

function newest(times: (string | null)[]): string | null {
  return times.reduce((last, at) => (seconds(at) > seconds(last) ? at : last), null);
}

const one = <T>(name: string, what: string, of: Field<T>['of'], unknown = 0): Field<T> => ({
  ...{ name, what, words: 1, unknown, of },
});
const count = <T>(name: string, what: string, of: Field<T>['of']) => one(name, what, of, UNCOUNTED);
const time = <T>(name: string, what: string, of: (from: T) => string | null): Field<T> => ({
  ...{ name, what: `${what}, UTC seconds, 0 if there is none`, words: 2, unknown: 0 },
  of: (from) => seconds(of(from)),
});

export const BUILDING: Block<BuildingStatus> = {
  ...{ at: 0, stride: 20, perUnit: 1 },
  fields: [
    one('layout', `version of this layout: ${LAYOUT}`, () => LAYOUT, LAYOUT),
    {
      ...{
        name: 'counted',
        what: 'when all this was counted, UTC seconds, 0 before that',
        words: 2,
        unknown: 0,
      },
      of: (_building, now) => now,
    },
    one('verdict', VERDICT.what, ({ verdict }) => VERDICT.of(verdict)),
    count('pass', 'luminaires that pass', ({ luminaires }) => luminaires.pass),
    count('fail', 'luminaires that have failed', ({ luminaires }) => luminaires.fail),
    count('not proven', 'luminaires that are not proven', ({ luminaires }) => luminaires.notProven),
    count('reporting', 'controllers that report', ({ circuits }) => circuits.reporting),
    count('late', 'controllers that are late', ({ circuits }) => circuits.late),
    count('silent', 'controllers that are silent', ({ circuits }) => circuits.silent),
    count('never heard', 'controllers that were never heard', ({ circuits }) => circuits.neverHeard),
    ...TROUBLES.map((trouble) =>
      count<BuildingStatus>(
        trouble,
        `circuits with the trouble ${trouble}`,
        ({ troubles }) => troubles[trouble],
      ),
    ),
    count('open defects', 'defects that are not closed', ({ openDefects }) => openDefects),
    count('testing', 'circuits on battery for a test now', ({ testing }) => testing),
    time('next test', 'the next planned test', ({ nextTestAt }) => nextTestAt),
  ],
};

export const CIRCUIT: Block<CircuitStatus> = {
  ...{ at: 1000, stride: 20, perUnit: 900 },
  fields: [
    one('contact', CONTACT.what, ({ contact }) => CONTACT.of(contact)),
    one('state', STATE.what, ({ state }) => STATE.of(state)),
    one('supply before the relay', TRUTH, ({ supply }) => truth(supply.beforeRelay)),
    one('supply behind the relay', TRUTH, ({ supply }) => truth(supply.behindRelay)),
    one('relay open', TRUTH, ({ relayOpen }) => truth(relayOpen)),
    count(
      'troubles',
      `sum of ${TROUBLES.map((word, bit) => `${2 ** bit} ${word}`).join(', ')}`,
      ({ troubles }) => troubles.reduce((sum, { trouble }) => sum + 2 ** TROUBLES.indexOf(trouble), 0),
    ),
    count('pass', 'its luminaires that pass', ({ verdicts }) => verdicts.pass),
    count('fail', 'its luminaires that have failed', ({ verdicts }) => verdicts.fail),
    count('not proven', 'its luminaires that are not proven', ({ verdicts }) => verdicts.notProven),
    time('last function test', 'its last function test with a verdict', ({ lastTestAt }) => lastTestAt.brief),
    time('last duration test', 'its last duration test with a verdict', ({ lastTestAt }) => lastTestAt.full),
    time('next function test', 'the next that shows as much', ({ nextTestAt }) => nextTestAt.brief),
    time('next duration test', 'the next that shows as much', ({ nextTestAt }) => nextTestAt.full),
    time('silent since', 'when a silent controller was heard last', ({ silentSince }) => silentSince),
  ],
};

export const LUMINAIRE: Block<LuminaireStatus> = {
  ...{ at: 20_000, stride: 4, perUnit: 10_000 },
  fields: [
    one('verdict', VERDICT.what, ({ verdict }) => VERDICT.of(verdict)),
    one(
      'reason',
      'number of its reason (docs/operating.md), 0 if there is none',
      ({ reason }) => reason?.code ?? 0,
    ),
    one(
      'any test',
      `days since it last passed a test of any kind, ${NEVER} if never`,
      ({ lastPassAt }, now) => days(newest(Object.values(lastPassAt)), now),
      NEVER,
    ),
    one(
      'duration test',
      `days since it last passed a whole one, ${NEVER} if never`,
      ({ lastPassAt }, now) => days(lastPassAt.full, now),
      NEVER,
    ),
  ],
};

/** Where the `index`th thing of a block is. */
export function placeOf<T>(
  { at, stride, perUnit }: Block<T>,
  index: number,
): { unit: number; register: number } {
  return { unit: 1 + Math.floor(index / perUnit), register: at + stride * (index % perUnit) };
}
