// What an order asks, says and sends.
import type { BuildingView, OrderName, OrderRequest, RepairPart } from '../../api/views';
import { lengthWord } from '../../words/length';
import { isWho, NAME_MAX } from '../../words/person';
import { t } from '../tongues/tongue';
import { kindName } from './kinds';

/** The name as it will be stored, or one sentence about what to change. */
export function orderName(typed: string): { who: string; mistake: string } {
  const who = typed.normalize('NFC').replace(/\s+/g, ' ').trim();
  if (who === '') return { who, mistake: t.orders.nameMissing };
  if (isWho(who)) return { who, mistake: '' };
  const isLong = Array.from(who).length > NAME_MAX;
  return {
    who: '',
    mistake: isLong ? t.orders.nameLong(NAME_MAX) : t.orders.nameLetters,
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
  urgent: boolean;
  consequence: string;
  /** Shown with orders after which a supply may be off; '' with others. */
  caution: string;
  field: OrderField | undefined;
  yes: string;
  no: string;
}

/** Hours offered for a hold, the default first. */
const HOLD_HOURS = [8, 1, 4, 24, 72, 168];
const WORKING_HOURS = [2, 1, 3, 4, 6, 8];
const MINUTES = [5, 10, 15, 30];
const KINDS = ['brief', 'full', 'limited', 'commissioning'] as const;
/** Orders after which a supply may be off. */
const CUTTING: readonly OrderName[] = ['clear fault', 'release', 'test', 'extend', 'attend', 'repaired'];

function hoursWord(hours: number): string {
  return hours % 24 === 0 ? t.orders.days(hours / 24) : t.orders.hours(hours);
}

function hoursField(offered: number[]): OrderField {
  return {
    ...{ name: 'hours', label: t.orders.forHowLong },
    choices: offered.map((hours) => [String(hours), hoursWord(hours)]),
  };
}

function fieldOf(order: OrderName): OrderField | undefined {
  const { howMuch, whichTest, chooseTest, whatDone, chooseDone, parts, minutes } = t.orders;
  if (order === 'hold') return hoursField(HOLD_HOURS);
  if (order === 'attend') return hoursField(WORKING_HOURS);
  if (order === 'extend')
    return { name: 'minutes', label: howMuch, choices: MINUTES.map((n) => [String(n), minutes(n)]) };
  if (order === 'test') {
    const choices = KINDS.map((kind): [string, string] => [kind, kindName(kind)]);
    return { name: 'kind', label: whichTest, choices, mustChoose: chooseTest };
  }
  if (order !== 'repaired') return undefined;
  return { name: 'part', label: whatDone, choices: Object.entries(parts), mustChoose: chooseDone };
}

/** What the page says about an order before it is sent. @param luminaire '' if it is for the circuit */
export function orderWords(order: OrderName, luminaire = ''): OrderWords {
  return {
    ...t.orders[order === 'accept' && luminaire === '' ? 'acceptAll' : order],
    urgent: order === 'restore' || order === 'clear fault',
    caution: CUTTING.includes(order) ? t.orders.notIsolation : '',
    field: fieldOf(order),
  };
}

/** What a test will cost, before it is ordered: "The supply will be off for 3 h, then …"; '' for no test. */
export function lengthSentence(kind: string, lengths: BuildingView['lengths'][string] | undefined): string {
  const length = lengths?.[kind as 'brief'];
  if (!length) return '';
  const [off, recharge] = [length.testSec, length.rechargeSec].map(lengthWord);
  return t.orders.cost(off, recharge);
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
