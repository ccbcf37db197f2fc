// The name under an order. The controller takes 1 to 40 plain printable characters without quote or
// backslash, so accents are dropped here instead of refusing half of the world's names.
import type { OrderName, OrderRequest, RepairPart } from '../../api/views';
import { kindName } from './kinds';

/** The name as it will be stored, or one sentence on what to change. */
export function orderName(typed: string): { who: string; mistake: string } {
  const plain = typed
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .replace(/ß/g, 'ss')
    .replace(/ø/g, 'o')
    .replace(/Ø/g, 'O')
    .replace(/[’‘]/g, "'")
    .replace(/\s+/g, ' ')
    .trim();
  if (plain === '') return { who: '', mistake: 'Type your name: the log book keeps who ordered it.' };
  if (plain.length > 40) return { who: '', mistake: 'Use 40 characters at most.' };
  if (!/^[\x20-\x7e]+$/.test(plain) || /["\\]/.test(plain))
    return { who: '', mistake: 'Use Latin letters, digits and simple signs, without " or \\.' };
  return { who: plain, mistake: '' };
}

/** What must be told beside the name: how long, which test, or which part. */
export interface OrderField {
  name: 'hours' | 'minutes' | 'kind' | 'part';
  label: string;
  /** Values offered, the first one chosen, with their words. */
  choices: [string, string][];
}

export interface OrderWords {
  button: string;
  /** The way out of something wrong: its button must be found at once. */
  urgent?: true;
  consequence: string;
  /** Said beside orders that take a supply away. */
  caution?: string;
  field?: OrderField;
  yes: string;
  no: string;
}

const NOT_ISOLATION = 'An open relay is not isolation: prove dead before any work.';

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
  other: 'Something else, e.g. a loose connection',
};

/** What the page says about each order, before it is given. */
export const ORDERS: Record<OrderName, OrderWords> = {
  restore: {
    button: 'Restore supply',
    urgent: true,
    consequence: 'Mains comes back now; this test will be void and tried again.',
    yes: 'Yes, restore supply',
    no: 'No, let the test run',
  },
  'clear fault': {
    button: 'Clear fault',
    urgent: true,
    consequence:
      'Only after the relay and its wiring have been repaired and proved: the controller will test again by ' +
      'itself and take the supply away.',
    caution: NOT_ISOLATION,
    yes: 'Yes, it is repaired',
    no: 'No, leave it',
  },
  hold: {
    button: 'Hold testing',
    consequence:
      'No test begins on this circuit until the time is over or the hold is released. A running test ends now ' +
      'and is void.',
    field: { name: 'hours', label: 'For how long', choices: HOURS },
    yes: 'Yes, hold testing',
    no: 'No, let testing go on',
  },
  release: {
    button: 'Release hold',
    consequence:
      'Only when the work is done: tests begin again by themselves in the permitted hours and take the supply ' +
      'away.',
    caution: NOT_ISOLATION,
    yes: 'Yes, release the hold',
    no: 'No, keep the hold',
  },
  test: {
    button: 'Start a test now',
    consequence:
      'The supply of these luminaires is taken away as soon as the controller finds nothing against it; if it ' +
      'does, it says what.',
    caution: NOT_ISOLATION,
    field: { name: 'kind', label: 'Which test', choices: KINDS },
    yes: 'Yes, start the test',
    no: 'No, do not test',
  },
  extend: {
    button: 'Longer, for the walk-round',
    consequence: 'The supply stays away longer, and the batteries need their full recharge afterwards.',
    caution: NOT_ISOLATION,
    field: { name: 'minutes', label: 'By how much', choices: MINUTES },
    yes: 'Yes, lengthen the test',
    no: 'No, end as planned',
  },
  attend: {
    button: 'I am at work here',
    consequence:
      'From now on tests may be started by order on this circuit, also in the day. Only on the circuit’s own ' +
      'days: neighbours are never tested together.',
    caution: NOT_ISOLATION,
    field: { name: 'hours', label: 'For how long', choices: WORKING_HOURS },
    yes: 'Yes, I am at work here',
    no: 'No, cancel',
  },
  accept: {
    button: 'Accept what was measured',
    consequence:
      'From now on this luminaire is judged against the measured currents. Only after looking at it: bright, clean ' +
      'and undamaged. A weak lamp accepted is a weak lamp never reported.',
    yes: 'Yes, accept',
    no: 'No, leave it',
  },
  repaired: {
    button: 'It is repaired',
    consequence:
      'Only when the work is done: the repair stands in the log book, and the luminaire is tested again in the ' +
      'permitted hours, which takes the supply of its circuit away. Only a pass clears the failure.',
    caution: NOT_ISOLATION,
    field: { name: 'part', label: 'What was done', choices: Object.entries(PARTS) },
    yes: 'Yes, it is repaired',
    no: 'No, not yet',
  },
  leave: {
    button: 'I am leaving',
    consequence: 'No test can be started by order any more outside the permitted hours.',
    yes: 'Yes, I am leaving',
    no: 'No, I stay',
  },
};

/** The order as the host takes it; `value` is what was chosen in its field. */
export function orderRequest(order: OrderName, value: string, who: string, luminaire = ''): OrderRequest {
  if (order === 'accept') return { do: order, luminaire, who };
  if (order === 'repaired') return { do: order, luminaire, part: value as RepairPart, who };
  if (order === 'hold') return { do: order, hours: Number(value), who };
  if (order === 'extend') return { do: order, minutes: Number(value), who };
  if (order === 'test') return { do: order, kind: value as 'brief', who };
  if (order === 'attend') return { do: order, hours: Number(value), who };
  return { do: order, who };
}
