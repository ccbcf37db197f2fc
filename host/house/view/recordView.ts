// A record as one line of the log book, and how to mark that line.
import { OrderKind, Reason, type TestKind, Verdict } from '../../../firmware/contract/codes';
import type {
  AnyRecord,
  ChargeRecord,
  EventRecord,
  OrderRecord,
  ResultRecord,
} from '../../../firmware/contract/messages';
import type { LogEntryView } from '../../api/views';
import { lampResults, resultVerdict } from '../../records/result';
import { capital } from '../../words/capital';
import { guardName, orderWords, reasonSentence, selfTestSentence, testName } from '../../words/codes';
import { lengthWord } from '../../words/length';
import { stoppedBy } from '../history/stopped';

type Mark = LogEntryView['mark'];

/** Ids of a circuit's luminaires by the revision of its settings; see `Listed`. */
type ListedHere = (revision: number) => readonly string[] | undefined;

function count(n: number, noun: string): string {
  return `${n} ${noun}${n === 1 ? '' : 's'}`;
}

/** Without its number in the plan, which would read like "the fourth test". */
function testOf(type: TestKind): string {
  return capital(testName(type));
}

function resultText(r: ResultRecord, luminaires: readonly string[] | undefined): string {
  const lamps = lampResults(r);
  const failed = lamps.flatMap((lamp, i) => (lamp.verdict === Verdict.Fail ? [{ lamp, i }] : []));
  const passed = lamps.filter(({ verdict }) => verdict === Verdict.Pass).length;
  const voids = lamps.length - failed.length - passed;
  const name = `${testOf(r.type)} ended after ${lengthWord(r.seconds)}`;
  const because = r.end === Reason.Complete ? '' : ` ${reasonSentence(r.end)}`;
  if (failed.length > 0) {
    const names = failed.map(({ lamp, i }) => {
      const who =
        luminaires?.[i] ??
        `Luminaire ${i + 1} of a list that this log book does not hold (settings ${r.settings})`;
      return `${who}: ${reasonSentence(lamp.reason)}`;
    });
    const all = count(lamps.length, 'luminaire');
    return `${name}: ${failed.length} of ${all} failed.${because} ${names.join(' ')}`;
  }
  if (passed === 0 && stoppedBy(r.end))
    return `${testOf(r.type)} stopped after ${lengthWord(r.seconds)}: nothing was judged.${because}`;
  if (voids > 0) {
    const rest = passed > 0 ? `, ${passed} passed` : '';
    const first = lamps.find(({ verdict }) => verdict === Verdict.Void);
    const why = because || ` ${reasonSentence(first?.reason ?? Reason.None)}`;
    return `${name}: void for ${count(voids, 'luminaire')}${rest}.${why}`;
  }
  return `${name}: ${passed === 1 ? 'the luminaire' : `all ${passed} luminaires`} passed.`;
}

function isChipAtFault(r: AnyRecord): boolean {
  return r.kind === 'chip' && r.reason !== Reason.None;
}

function chipText(r: EventRecord): string {
  if (r.reason === Reason.None) return 'The clock chip was set.';
  if (r.arg === 0) return 'The clock chip does not answer, or cannot be set. Check its wiring and its cell.';
  const way = r.arg < 0 ? 'behind' : 'ahead';
  return `The clock chip was ${lengthWord(Math.abs(r.arg))} ${way} and was corrected. If this happens again, replace it.`;
}

/** Which part of the controller a self-test found at fault, as a sentence after the reason. */
function selfTestPart(r: EventRecord): string {
  return r.reason === Reason.SelfTest ? ` ${selfTestSentence(r.arg)}` : '';
}

function eventText(r: EventRecord): string {
  const reason = reasonSentence(r.reason);
  if (r.kind === 'outage') return 'Mains failure; the luminaires are on battery.';
  if (r.kind === 'supply' && r.reason === Reason.UnsteadySupply)
    return `The supply is unsteady: ${r.arg} short dips in a row. No test starts until it has been steady for 10 minutes.`;
  if (r.kind === 'supply') {
    const what = r.reason === Reason.Outage ? 'The mains is' : 'After a tester fault, the supply is';
    return `${what} back after ${lengthWord(r.arg)}.`;
  }
  if (r.kind === 'fault') {
    const which = r.reason === Reason.GuardSlow ? ` It was ${guardName(r.arg)}.` : '';
    return `Tester fault: no tests until it is cleared. ${reason}${which}${selfTestPart(r)}`;
  }
  if (r.kind === 'cleared') return `Tester fault cleared. It was: ${reason}`;
  if (r.kind === 'held')
    return `Testing is on hold${r.arg > 0 ? ` for ${lengthWord(r.arg)}` : ''}. ${reason}`;
  if (r.kind === 'reminder') return `Testing has been on hold for ${lengthWord(r.arg)}. ${reason}`;
  if (r.kind === 'clock') {
    const way = r.arg < 0 ? 'back' : 'forward';
    return `The controller's clock was moved ${way} by ${lengthWord(Math.abs(r.arg))}; two time answers agreed.`;
  }
  if (r.kind === 'chip') return chipText(r);
  if (r.kind === 'released') return `Testing resumed after a hold of ${lengthWord(r.arg)}.`;
  if (r.reason === Reason.ClockUntrusted)
    return 'No test is being made: the controller does not know the time. It needs the host, or a clock chip.';
  if (r.arg === 0) return 'A test is overdue: no test window was found for it.';
  // Older firmware did not say which kind it is.
  const name = r.type ? testOf(r.type) : 'A test';
  return `${name} is overdue: none of its planned tries had a verdict.`;
}

function chargeText(r: ChargeRecord): string {
  if (r.reason === Reason.NoCharge)
    return `No charging after the last test: ${r.arg} mA 60 s after the supply came back. ${reasonSentence(r.reason)}`;
  const fall = [
    r.half >= 0 ? `to half within ${lengthWord(r.half)}` : '',
    r.float >= 0 ? `to a fifth within ${lengthWord(r.float)}` : '',
  ].filter(Boolean);
  const fell = fall.length > 0 ? ` and fell ${fall.join(' and ')}` : '';
  const line = `Charging after the last test started at ${r.arg} mA${fell}.`;
  if (r.reason !== Reason.None) return `${line} ${reasonSentence(r.reason)}`;
  const seen = lengthWord(Math.max(0, r.curve.length - 1) * r.step);
  return r.float < 0 ? `${line} The supply failed again; charging was seen for only ${seen}.` : line;
}

function orderText(r: OrderRecord): string {
  // Orders refused on arrival name no kind of test (wire.md): this test was accepted and then called off.
  if (r.kind === 'refused' && r.do === OrderKind.Test && r.counter === 0)
    return `${testOf(r.arg)} on demand was called off before it started. ${reasonSentence(r.reason)}`;
  const who = r.who === '' ? 'Someone unnamed' : r.who;
  const wish = `${who} gave the order to ${orderWords(r.do, r.arg)}`;
  if (r.kind === 'order' && r.reason === Reason.None) return `${wish}; the controller accepted it.`;
  return `${wish}; the controller refused it. ${reasonSentence(r.reason)}`.trimEnd();
}

/**
 * One plain line for a record; `listed` gives the luminaires of a result's rows by its revision of the settings.
 */
export function recordText(r: AnyRecord, listed: ListedHere): string {
  if (r.kind === 'start') {
    const memory = r.seq === 1 ? ' with an empty memory' : '';
    return `The controller has started${memory} (firmware ${r.firmware}).`;
  }
  if (r.kind === 'intent') return `${testOf(r.type)} starts: the supply is about to be cut.`;
  if (r.kind === 'result') return resultText(r, listed(r.settings));
  if (r.kind === 'charge') return chargeText(r);
  if ('who' in r) return orderText(r);
  if (r.kind === 'trace')
    return `Trace of the controller's inputs, part ${r.part + 1}${r.left === 0 ? ' (last)' : ''}.`;
  return eventText(r);
}

/** How to mark a record's line. */
export function recordMark(r: AnyRecord): Mark {
  if (r.kind === 'result') return resultVerdict(r);
  if (r.kind === 'charge') return r.reason === Reason.None ? 'note' : 'alarm';
  const alarming = r.kind === 'fault' || r.kind === 'outage' || r.kind === 'overdue' || isChipAtFault(r);
  return alarming ? 'alarm' : 'note';
}

/** A record's entry as readers get it; a record this host does not understand is shown as is. */
export function recordView(
  entry: { entry: number; at: number; body: string; kind: string; hash: string },
  circuit: string,
  record: AnyRecord | undefined,
  listed: ListedHere,
): LogEntryView {
  return {
    entry: entry.entry,
    at: entry.at,
    circuit,
    kind: entry.kind,
    text: record ? recordText(record, listed) : 'A record of a kind unknown to this host.',
    mark: record ? recordMark(record) : 'note',
    body: entry.body,
    hash: entry.hash,
  };
}
