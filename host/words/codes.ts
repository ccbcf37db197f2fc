// Names and sentences for every code, in an electrician's words. The log book, the page and the messages take
// them from here, so that each thing has one name everywhere.
import { Ending, OrderKind, Phase, Reason, SelfTest, TestKind, Verdict } from '../../firmware/contract/codes';
import { lengthWord } from './length';

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
  [Reason.NotLitAtFiveSeconds]: 'The lamp was not lit 5 s after the supply was cut.',
  [Reason.SlowStart]: 'The lamp was lit at 5 s but below half its commissioned current.',
  [Reason.NotFullAtSixtySeconds]: 'The lamp had not reached full commissioned current at 60 s.',
  [Reason.EndedEarly]: 'The lamp went out before its rated duration was up.',
  [Reason.LitOnMains]: 'The lamp is lit on mains but should be dark.',
  [Reason.DarkOnMains]: 'The lamp is dark on mains but should be lit.',
  [Reason.Flickers]: 'The lamp flickers: on average it gave too little current, though not all the time.',
  [Reason.StayedOnMains]:
    'The lamp current did not change when the supply was cut: it may be fed from another circuit.',
  [Reason.TooMuchCurrent]:
    'The sensor reads more than one and a half times the commissioned current: another lamp may be on it.',
  [Reason.AllDark]: 'Every luminaire had a verdict before the time was up, so the test ended early.',
  [Reason.NoCharge]: 'The batteries have drawn no charging current since the supply came back.',
  [Reason.SlowRecharge]: 'The charging current had not fallen by the end of the recharge time.',
  [Reason.Complete]: 'The test ran to the end.',
  [Reason.Outage]: 'A mains failure interrupted the test; the result is void.',
  [Reason.OrderedRestore]: 'Someone ordered the supply to be restored.',
  [Reason.StopInput]: 'The fire alarm or stop input is active.',
  [Reason.KeyHold]: 'The key switch is set to hold.',
  [Reason.OrderedHold]: 'Someone put testing on hold.',
  [Reason.Occupied]: 'There is someone in the area.',
  [Reason.Reset]: 'The controller restarted.',
  [Reason.SampleGap]: 'Lamp readings were missing for too long to give a verdict.',
  [Reason.RelayStuckClosed]: 'The relay did not open when switched: the supply stayed on.',
  [Reason.RelayStuckOpen]: 'The relay did not close when switched: the supply is still off.',
  [Reason.RelayFellBack]: 'The relay closed by itself during the test.',
  [Reason.AuxDisagrees]: "The relay's auxiliary contact disagrees with the supply sensing.",
  [Reason.SensorOffset]: 'The current sensor reads current while the lamp is known to be dark.',
  [Reason.SensorRange]: 'The current sensor is open circuit, shorted or out of range.',
  [Reason.NoneLit]: 'No lamp was seen to light: suspect the tester before the luminaires.',
  [Reason.Simultaneous]: 'Several lamps failed at the same instant: suspect the tester.',
  [Reason.FlashFault]: 'The controller cannot write to its memory.',
  [Reason.SupplyLost]: 'The supply did not come back after the relay was closed.',
  [Reason.Watchdog]: 'The controller hung and its watchdog restarted it.',
  [Reason.SensorStuck]: 'The current sensor reading did not change by even 1 mA when the supply was cut.',
  [Reason.GuardSlow]: 'One of the guards that release the relay was too slow or did not release it.',
  [Reason.ClockFault]: "The controller's timing does not agree with the host's time.",
  [Reason.SelfTest]: 'A self-test of the controller failed.',
  [Reason.SensorSilent]: 'The current sensor does not answer on its bus.',
  [Reason.SensorSlow]: 'The current sensor answers too slowly on its bus to judge the luminaire.',
  [Reason.SensorClash]: "The current sensor's address on the bus is used twice.",
  [Reason.SensorGarbled]: 'The current sensor answers with errors on its bus.',
  [Reason.NotCommissioned]: 'The controller has no settings yet.',
  [Reason.ClockUntrusted]: 'The controller is not sure of the time.',
  [Reason.NotOwnNight]: 'This night is reserved for a neighbouring circuit.',
  [Reason.OutsideWindow]: 'It is outside the test window.',
  [Reason.WindowTooShort]: 'Not enough of the test window is left for this test.',
  [Reason.StillRecharging]: 'The batteries are still recharging.',
  [Reason.NotProvenEmpty]: 'The area is not confirmed empty.',
  [Reason.JournalFull]: "The controller's memory is full of results waiting for the log book.",
  [Reason.Busy]: 'The controller is busy with another test.',
  [Reason.NothingToDo]: 'Nothing to do: the supply is on and no test is running.',
  [Reason.UnsteadySupply]: 'The supply keeps dipping.',
  [Reason.OutsideOwnHours]:
    "The test and its recharge do not fit into this circuit's hours of a shared night.",
  [Reason.BadSignature]: 'The message has a wrong signature.',
  [Reason.Replayed]: 'The message has been used before.',
  [Reason.Stale]: 'The message arrived too late.',
  [Reason.Malformed]: 'The message cannot be read.',
  [Reason.WrongVersion]: 'The message is in a version the controller does not understand.',
  [Reason.OutOfBounds]: 'The message asks for a value outside the permitted range.',
  [Reason.Retained]: 'The broker had stored the message; stored orders are never obeyed.',
};

const ORDERS: Record<OrderKind, string> = {
  [OrderKind.Restore]: 'restore the supply',
  [OrderKind.Hold]: 'hold testing',
  [OrderKind.Release]: 'release the hold',
  [OrderKind.ClearFault]: 'clear the fault',
  [OrderKind.Test]: 'start a test',
  [OrderKind.Extend]: 'extend the test',
  [OrderKind.Trace]: 'record a trace of the next test',
  [OrderKind.SendAgain]: 'send its records again',
};

const GUARDS: Record<Ending, string> = {
  [Ending.All]: '',
  [Ending.StopsLow]: 'the pulse detector, with the pulses stopped low',
  [Ending.StopsHigh]: 'the pulse detector, with the pulses stopped high',
  [Ending.Enable]: 'the enable signal',
  [Ending.Count]: '',
};

/** The guard of the relay that a test proved, '' for none. */
export function guardName(guard: number): string {
  return GUARDS[guard as Ending] ?? `guard ${guard}, unknown to this host`;
}

const KINDS: Record<TestKind, KindWord> = {
  [TestKind.None]: '',
  [TestKind.Brief]: 'brief',
  [TestKind.Full]: 'full',
  [TestKind.Limited]: 'limited',
  [TestKind.Commissioning]: 'commissioning',
};

const NAMES: Record<KindWord, string> = {
  '': 'test',
  brief: 'function test',
  full: 'duration test',
  limited: 'limited duration test (2/3, not the full duration)',
  commissioning: 'commissioning test',
};

/** A kind of test as used inside a sentence; a limited test says that it is not the full duration. */
export function testName(kind: number): string {
  return kindName(kindWord(kind));
}

/** The same, looked up by its word. */
export function kindName(word: KindWord): string {
  return NAMES[word];
}

export type KindWord = 'brief' | 'full' | 'limited' | 'commissioning' | '';

/** Kinds of tests by their words. */
export const TEST_KINDS: Record<Exclude<KindWord, ''>, TestKind> = {
  brief: TestKind.Brief,
  full: TestKind.Full,
  limited: TestKind.Limited,
  commissioning: TestKind.Commissioning,
};

/** Word for a phase in the JSON; an unknown code reads "unknown phase N". */
export function phaseWord(phase: number): string {
  return PHASES[phase as Phase] ?? `unknown phase ${phase}`;
}

/** Name of a phase for people. */
export function phaseName(phase: number): string {
  if (phase === Phase.Brief) return 'function test';
  return phase === Phase.Full ? 'duration test' : phaseWord(phase);
}

const SELF_TESTS: Record<SelfTest, string> = {
  [SelfTest.None]: '',
  [SelfTest.Program]:
    'Its program has changed: load it again, and replace the controller if it happens again.',
  [SelfTest.Memory]: 'Its memory does not keep what is written: replace the controller.',
  [SelfTest.Converter]: 'Every current sensor reads beyond its range: check the converter and its wiring.',
  [SelfTest.Stack]: 'Its program has used up its working memory: report it with the log book.',
};

/** What a failed self-test found; an unknown number gives ''. */
export function selfTestSentence(test: number): string {
  return SELF_TESTS[test as SelfTest] ?? '';
}

/** One plain sentence for a reason, '' for none. An unknown code gives its number. */
export function reasonSentence(reason: number): string {
  return REASONS[reason as Reason] ?? `Reason ${reason}, unknown to this host.`;
}

const CODES = new Map(Object.entries(REASONS).map(([code, sentence]) => [sentence, Number(code)]));

/** The code of a sentence of `reasonSentence`; 0 for one that is none. */
export function reasonCode(sentence: string): number {
  return CODES.get(sentence) ?? Number(/^Reason (\d+), unknown to this host\.$/.exec(sentence)?.[1] ?? 0);
}

export function kindWord(kind: number): KindWord {
  return KINDS[kind as TestKind] ?? '';
}

/**
 * Word for the kind of a completed test; a kind this host does not know counts as the least it can have been.
 */
export function testKindWord(kind: number): Exclude<KindWord, ''> {
  return kindWord(kind) || 'brief';
}

export function verdictWord(verdict: number): 'pass' | 'fail' | 'void' | 'open' {
  if (verdict === Verdict.Pass) return 'pass';
  if (verdict === Verdict.Fail) return 'fail';
  return verdict === Verdict.Open ? 'open' : 'void';
}

/** What an order asks for, as it reads after "to": "restore the supply". */
export function orderWord(order: number): string {
  return ORDERS[order as OrderKind] ?? `do something unknown (${order})`;
}

/** The same with the duration or the kind of test: "hold testing for 8 h 00 min", "start a function test". */
export function orderWords(order: number, arg: number): string {
  if (order === OrderKind.Hold) return `${orderWord(order)} for ${lengthWord(arg)}`;
  if (order === OrderKind.Extend) return `${orderWord(order)} by ${lengthWord(arg)}`;
  return order === OrderKind.Test ? `start a ${testName(arg)}` : orderWord(order);
}

/**
 * What people in an area do if the power fails while its batteries are not full (common practice, no source).
 */
export function powerFailureWords(areas: string[], responsible: string): string {
  return (
    `If the power fails: leave ${areas.join(', ')} at once by torchlight, keep everyone out, and tell ${responsible}. ` +
    'Emergency luminaires there may stay dark or go out early.'
  );
}
