// What an order asks, says and sends.
import type { BuildingView, OrderName, OrderRequest, RepairPart } from '../../api/views';
import { lengthWord } from '../../words/length';
import { isWho, NAME_MAX } from '../../words/person';
import { kindName } from './kinds';

/** The name as it will be stored, or one sentence about what to change. */
export function orderName(typed: string): { who: string; mistake: string } {
  const who = typed.normalize('NFC').replace(/\s+/g, ' ').trim();
  if (who === '') return { who, mistake: 'Type your name: the log book records who gave the order.' };
  if (isWho(who)) return { who, mistake: '' };
  const isLong = Array.from(who).length > NAME_MAX;
  return {
    who: '',
    mistake: isLong
      ? `Use ${NAME_MAX} characters or fewer.`
      : 'Use letters, digits and punctuation: no " or \\, and no invisible characters.',
  };
}

/** What must be given besides the name: how long, which test, or which part. */
export interface OrderField {
  name: 'hours' | 'minutes' | 'kind' | 'part';
  label: string;
  /** Values offered, the default first, with their words. */
  choices: [string, string][];
  /** What to say if nothing was chosen; set where a default would be pressed by mistake. */
  mustChoose?: string;
}

export interface OrderWords {
  button: string;
  /** The way out when something is wrong: its button must be easy to find. */
  urgent?: true;
  consequence: string;
  /** Shown with orders that switch off a supply. */
  caution?: string;
  field?: OrderField;
  yes: string;
  no: string;
}

const NOT_ISOLATION = 'An open relay is not isolation: prove dead before work.';

const HOURS: [string, string][] = [
  ['8', '8 hours'],
  ['1', '1 hour'],
  ['4', '4 hours'],
  ['24', '1 day'],
  ['72', '3 days'],
  ['168', '7 days'],
];
const WORKING_HOURS: [string, string][] = [2, 1, 3, 4, 6, 8].map((n) => [
  String(n),
  n === 1 ? '1 hour' : `${n} hours`,
]);
const MINUTES: [string, string][] = [5, 10, 15, 30].map((n) => [String(n), `${n} minutes`]);
const KINDS: [string, string][] = (['brief', 'full', 'limited', 'commissioning'] as const).map((kind) => [
  kind,
  kindName(kind),
]);

const PARTS: Record<RepairPart, string> = {
  battery: 'Battery changed',
  lamp: 'Lamp changed',
  'driver or charger': 'Driver or charger changed',
  'whole luminaire': 'Whole luminaire changed',
  other: 'Something else, such as a loose connection',
};

/** What the page says about each order before it is sent. */
export const ORDERS: Record<OrderName, OrderWords> = {
  restore: {
    button: 'Restore supply',
    urgent: true,
    consequence: 'Mains comes back now. This test is void and will be tried again.',
    yes: 'Yes, restore supply',
    no: 'No, let the test run',
  },
  'clear fault': {
    button: 'Clear fault',
    urgent: true,
    consequence:
      'Only when the relay and its wiring are repaired and proven: the controller will start tests again by itself ' +
      'and cut the supply.',
    caution: NOT_ISOLATION,
    yes: 'Yes, repaired: clear it',
    no: 'No, leave it',
  },
  hold: {
    button: 'Hold testing',
    consequence:
      'No test starts on this circuit until the time is up or the hold is released. A running test ends now and ' +
      'is void.',
    field: { name: 'hours', label: 'For how long', choices: HOURS },
    yes: 'Yes, hold testing',
    no: 'No, keep testing',
  },
  release: {
    button: 'Release hold',
    consequence:
      'Only when the work is finished: tests start again by themselves in the test window and cut the supply.',
    caution: NOT_ISOLATION,
    yes: 'Yes, release the hold',
    no: 'No, keep the hold',
  },
  test: {
    button: 'Start a test now',
    consequence:
      'The supply to these luminaires is cut as soon as the controller allows it. If it refuses, it says why.',
    caution: NOT_ISOLATION,
    field: { name: 'kind', label: 'Which test', choices: KINDS, mustChoose: 'Choose which test.' },
    yes: 'Yes, start the test',
    no: 'No, cancel',
  },
  extend: {
    button: 'Extend for walk-round',
    consequence: 'The supply stays off for longer, and the batteries then need a full recharge.',
    caution: NOT_ISOLATION,
    field: { name: 'minutes', label: 'By how much', choices: MINUTES },
    yes: 'Yes, extend the test',
    no: 'No, end as planned',
  },
  attend: {
    button: 'I am working here',
    consequence:
      'Tests on this circuit can now be started on demand, even during the day, but only on the circuit’s own ' +
      'days: neighbouring circuits are never tested together.',
    caution: NOT_ISOLATION,
    field: { name: 'hours', label: 'For how long', choices: WORKING_HOURS },
    yes: 'Yes, I am working here',
    no: 'No, cancel',
  },
  accept: {
    button: 'Accept measured currents',
    consequence:
      'From now on this luminaire is judged against the measured currents. Look at it first: it must be bright, ' +
      'clean and undamaged. Once a weak lamp is accepted, it is never reported.',
    yes: 'Yes, accept',
    no: 'No, leave it',
  },
  repaired: {
    button: 'Report a repair',
    consequence:
      'Only when the work is finished: the repair goes into the log book and the luminaire is tested again in the ' +
      'test window, which cuts the supply to its circuit. Only a pass clears the failure.',
    caution: NOT_ISOLATION,
    field: {
      ...{ name: 'part', label: 'What was done', choices: Object.entries(PARTS) },
      mustChoose: 'Choose what was done: it decides which test follows.',
    },
    yes: 'Yes, report the repair',
    no: 'No, not yet',
  },
  leave: {
    button: 'I am leaving',
    consequence: 'Tests can no longer be started on demand outside the test window.',
    yes: 'Yes, I am leaving',
    no: 'No, still here',
  },
};

/** What a test will cost, before it is ordered: "The supply will be off for 3 h, then …"; '' for no test. */
export function lengthSentence(kind: string, lengths: BuildingView['lengths'][string] | undefined): string {
  const length = lengths?.[kind as 'brief'];
  if (!length) return '';
  const [off, recharge] = [length.testSec, length.rechargeSec].map(lengthWord);
  return `The supply will be off for ${off}, then the batteries recharge for ${recharge}.`;
}

/** The order in the host's form; `value` is what was chosen in its field. */
export function orderRequest(order: OrderName, value: string, who: string, luminaire = ''): OrderRequest {
  if (order === 'accept') return { do: order, luminaire, who };
  if (order === 'repaired') return { do: order, luminaire, part: value as RepairPart, who };
  if (order === 'hold') return { do: order, hours: Number(value), who };
  if (order === 'extend') return { do: order, minutes: Number(value), who };
  if (order === 'test') return { do: order, kind: value as 'brief', who };
  if (order === 'attend') return { do: order, hours: Number(value), who };
  return { do: order, who };
}
