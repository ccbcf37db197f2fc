// Names and sentences for every code, in the words an electrician uses. The log book, the page and the
// messages take them from here, so that one thing has one name everywhere.
import { OrderKind, Phase, Reason, TestKind, Verdict } from '../../firmware/contract/codes';

const PHASES: Record<Phase, string> = {
  [Phase.Starting]: 'starting',
  [Phase.Charged]: 'charged',
  [Phase.Recharging]: 'recharging',
  [Phase.Opening]: 'opening',
  [Phase.Brief]: 'brief',
  [Phase.Full]: 'full',
  [Phase.Restoring]: 'restoring',
  [Phase.Outage]: 'outage',
  [Phase.Held]: 'held',
  [Phase.Fault]: 'fault',
};

const REASONS: Record<Reason, string> = {
  [Reason.None]: '',
  [Reason.NotLitAtFiveSeconds]: 'The lamp was not lit 5 s after the supply was taken away.',
  [Reason.SlowStart]: 'The lamp was lit at 5 s but below half of its commissioned current.',
  [Reason.NotFullAtSixtySeconds]: 'The lamp had not reached its full commissioned current at 60 s.',
  [Reason.EndedEarly]: 'The lamp went out before its rated duration was over.',
  [Reason.LitOnMains]: 'The lamp is lit on mains although it should be dark.',
  [Reason.DarkOnMains]: 'The lamp is dark on mains although it should be lit.',
  [Reason.AllDark]: 'Every luminaire was decided before the time was up, so the test ended early.',
  [Reason.NoCharge]: 'The batteries draw no charging current since the supply came back.',
  [Reason.SlowRecharge]: 'The charging current had not fallen by the end of the recharge time.',
  [Reason.Complete]: 'The test ran to its end.',
  [Reason.Outage]: 'The mains failed by itself, so the test proves nothing.',
  [Reason.OrderedRestore]: 'Somebody ordered the supply back.',
  [Reason.StopInput]: 'The fire alarm or stop input is active.',
  [Reason.KeyHold]: 'The key switch is turned to hold.',
  [Reason.OrderedHold]: 'Somebody ordered testing to be held.',
  [Reason.Occupied]: 'Somebody is in the area.',
  [Reason.Reset]: 'The controller restarted.',
  [Reason.SampleGap]: 'Lamp readings were missing for too long to prove anything.',
  [Reason.RelayStuckClosed]: 'The relay did not open: the supply stayed on although it was ordered off.',
  [Reason.RelayStuckOpen]: 'The relay did not close: the supply is still off although it was ordered on.',
  [Reason.RelayFellBack]: 'The relay closed by itself in the middle of the test.',
  [Reason.AuxDisagrees]: "The relay's auxiliary contact contradicts the supply sense.",
  [Reason.SensorOffset]: 'The current sensor shows current while the lamp is known to be dark.',
  [Reason.SensorRange]: 'The current sensor is open, shorted or out of range.',
  [Reason.NoneLit]: 'No lamp was seen lit, which points to the tester rather than to the luminaires.',
  [Reason.Simultaneous]: 'Several lamps failed in the same instant, which points to the tester.',
  [Reason.FlashFault]: 'The controller cannot write to its memory.',
  [Reason.SupplyLost]: 'The supply did not come back after the relay was closed.',
  [Reason.Watchdog]: 'The controller hung and was restarted by its watchdog.',
  [Reason.SensorStuck]: 'The current sensor did not move by a milliampere when the supply was taken away.',
  [Reason.ClockFault]: "The controller's timing and the time from the host do not agree.",
  [Reason.NotCommissioned]: 'The controller has no settings yet.',
  [Reason.ClockUntrusted]: 'The controller does not know the time well enough.',
  [Reason.NotOwnNight]: 'This night belongs to a neighbouring circuit.',
  [Reason.OutsideWindow]: 'The permitted hours for testing have not begun or are over.',
  [Reason.WindowTooShort]: 'The rest of the permitted hours is too short for the test.',
  [Reason.StillRecharging]: 'The batteries are still recharging.',
  [Reason.NotProvenEmpty]: 'The area is not proven empty of people.',
  [Reason.JournalFull]: "The controller's memory is full of results the log book has not taken yet.",
  [Reason.Busy]: 'The controller is busy with another test.',
  [Reason.NothingToDo]: 'There is nothing to do: the supply is on and no test runs.',
  [Reason.UnsteadySupply]: 'The supply dips again and again.',
  [Reason.BadSignature]: 'The message carries a wrong signature.',
  [Reason.Replayed]: 'The message was used before.',
  [Reason.Stale]: 'The message arrived too late.',
  [Reason.Malformed]: 'The message cannot be read.',
  [Reason.WrongVersion]: 'The message is of another version than the controller understands.',
  [Reason.OutOfBounds]: 'The message asks for a value outside the permitted range.',
  [Reason.Retained]: 'The broker had stored the message, and stored orders are never obeyed.',
};

const ORDERS: Record<OrderKind, string> = {
  [OrderKind.Restore]: 'restore the supply',
  [OrderKind.Hold]: 'hold testing',
  [OrderKind.Release]: 'release the hold',
  [OrderKind.ClearFault]: 'clear the fault',
  [OrderKind.Test]: 'start a test',
  [OrderKind.Extend]: 'lengthen the test',
  [OrderKind.Trace]: 'take down a trace of the next test',
};

const KINDS: Record<TestKind, KindWord> = {
  [TestKind.None]: '',
  [TestKind.Brief]: 'brief',
  [TestKind.Full]: 'full',
  [TestKind.Limited]: 'limited',
  [TestKind.Commissioning]: 'commissioning',
};

/** A kind of test as it stands in a sentence; a limited test says itself that it is no full test. */
export function testName(kind: number): string {
  return kindName(kindWord(kind));
}

/** The same by its word. */
export function kindName(word: KindWord): string {
  if (word === 'limited') return 'limited test (2/3), not a full test';
  return word === '' ? 'test' : `${word} test`;
}

export type KindWord = 'brief' | 'full' | 'limited' | 'commissioning' | '';

/** Kinds of tests by their words. */
export const TEST_KINDS: Record<Exclude<KindWord, ''>, TestKind> = {
  brief: TestKind.Brief,
  full: TestKind.Full,
  limited: TestKind.Limited,
  commissioning: TestKind.Commissioning,
};

/** Word of a phase as the page shows it; an unknown code reads as "unknown phase N". */
export function phaseWord(phase: number): string {
  return PHASES[phase as Phase] ?? `unknown phase ${phase}`;
}

/** One plain sentence for a reason, '' for none. An unknown code says so with its number. */
export function reasonSentence(reason: number): string {
  return REASONS[reason as Reason] ?? `Reason ${reason}, which this host does not know.`;
}

export function kindWord(kind: number): KindWord {
  return KINDS[kind as TestKind] ?? '';
}

/** Word of the kind of a test that was made; a kind this host does not know is the least it can have been. */
export function testKindWord(kind: number): Exclude<KindWord, ''> {
  return kindWord(kind) || 'brief';
}

export function verdictWord(verdict: number): 'pass' | 'fail' | 'void' | 'open' {
  if (verdict === Verdict.Pass) return 'pass';
  if (verdict === Verdict.Fail) return 'fail';
  return verdict === Verdict.Open ? 'open' : 'void';
}

/** What an order asks for, as it stands after "to": "restore the supply". */
export function orderWord(order: number): string {
  return ORDERS[order as OrderKind] ?? `do something unknown (${order})`;
}

/** The same with how long, or which test: "hold testing for 8 h 00 min", "start a brief test". */
export function orderWords(order: number, arg: number): string {
  if (order === OrderKind.Hold) return `${orderWord(order)} for ${lengthWord(arg)}`;
  if (order === OrderKind.Extend) return `${orderWord(order)} by ${lengthWord(arg)}`;
  return order === OrderKind.Test ? `start a ${testName(arg)}` : orderWord(order);
}

/** "45 s", "3 min", "2 h 05 min": a length of time for people; seconds in. */
export function lengthWord(seconds: number): string {
  if (seconds < 120) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 120) return `${minutes} min`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
}

/** What people in areas do when the power fails while batteries there are not full (common practice, no source). */
export function powerFailureWords(areas: string[], responsible: string): string {
  return (
    `If the power fails: leave ${areas.join(', ')} at once by torchlight, let nobody in, and tell ${responsible}. ` +
    'Emergency luminaires there may stay dark or go out early.'
  );
}
