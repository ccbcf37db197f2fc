// A record as one line of the log book, and how to mark that line.
import { OrderKind, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import type {
  AnyRecord,
  ChargeRecord,
  EventRecord,
  IntentRecord,
  OrderRecord,
  ResultRecord,
} from '../../../firmware/contract/messages';
import type { LogEntryView } from '../../api/views';
import { lampResults, resultVerdict } from '../../records/result';
import { kindWord, lengthWord, orderWords, reasonSentence } from '../../words/codes';

type Mark = LogEntryView['mark'];

function count(n: number, noun: string): string {
  return `${n} ${noun}${n === 1 ? '' : 's'}`;
}

function testName(r: Pick<IntentRecord, 'test' | 'type'>): string {
  const kind = kindWord(r.type);
  const word = kind === '' ? 'Test' : `${kind.charAt(0).toUpperCase()}${kind.slice(1)} test`;
  const number = r.test > 0 ? ` ${r.test}` : '';
  return `${word}${number}${r.type === TestKind.Limited ? ' (2/3, not a full test)' : ''}`;
}

function resultText(r: ResultRecord, luminaires: string[]): string {
  const lamps = lampResults(r);
  const failed = lamps.flatMap((lamp, i) => (lamp.verdict === Verdict.Fail ? [{ lamp, i }] : []));
  const passed = lamps.filter(({ verdict }) => verdict === Verdict.Pass).length;
  const voids = lamps.length - failed.length - passed;
  const name = `${testName(r)} over after ${lengthWord(r.seconds)}`;
  const because = r.end === Reason.Complete ? '' : ` ${reasonSentence(r.end)}`;
  if (failed.length > 0) {
    const names = failed.map(({ lamp, i }) => {
      const who = luminaires[i] ?? `luminaire ${i + 1}`;
      return `${who}: ${reasonSentence(lamp.reason)}`;
    });
    const all = count(lamps.length, 'luminaire');
    return `${name}: ${failed.length} of ${all} failed.${because} ${names.join(' ')}`;
  }
  if (voids > 0) {
    const rest = passed > 0 ? `, ${passed} passed` : '';
    const first = lamps.find(({ verdict }) => verdict === Verdict.Void);
    const why = because || ` ${reasonSentence(first?.reason ?? Reason.None)}`;
    return `${name}: void for ${count(voids, 'luminaire')}${rest}.${why}`;
  }
  return `${name}: ${passed === 1 ? 'the luminaire' : `all ${passed} luminaires`} passed.`;
}

function eventText(r: EventRecord): string {
  const reason = reasonSentence(r.reason);
  if (r.kind === 'outage') return 'The mains failed by itself; the luminaires burn on their batteries.';
  if (r.kind === 'supply' && r.reason === Reason.UnsteadySupply)
    return `The supply is unsteady: ${r.arg} short dips in a row. No test begins until it has been steady for 10 minutes.`;
  if (r.kind === 'supply') {
    const what = r.reason === Reason.Outage ? 'The mains is' : 'After a fault of the tester, the supply is';
    return `${what} back after ${lengthWord(r.arg)}.`;
  }
  if (r.kind === 'fault') return `Tester fault, no more tests until it is cleared. ${reason}`;
  if (r.kind === 'cleared') return `Tester fault cleared. It was: ${reason}`;
  if (r.kind === 'held') return `Testing is held${r.arg > 0 ? ` for ${lengthWord(r.arg)}` : ''}. ${reason}`;
  if (r.kind === 'reminder') return `Testing has been held for ${lengthWord(r.arg)}. ${reason}`;
  if (r.kind === 'clock') {
    const way = r.arg < 0 ? 'back' : 'forward';
    return `The clock of the controller was put ${way} by ${lengthWord(Math.abs(r.arg))}, on the word of two answers that agree.`;
  }
  if (r.kind === 'released') return `Testing goes on after a hold of ${lengthWord(r.arg)}.`;
  return r.arg > 0
    ? `Test ${r.arg} is overdue: its last permitted hours have passed without a result.`
    : 'A test is overdue: no permitted hours were found for it.';
}

/** Test a record speaks of, with its number where it has one. */
function afterTest(r: ChargeRecord): string {
  return r.test > 0 ? `after test ${r.test}` : 'after the last test';
}

function chargeText(r: ChargeRecord): string {
  if (r.reason === Reason.NoCharge)
    return `No charging ${afterTest(r)}: ${r.arg} mA 60 s after the supply came back. ${reasonSentence(r.reason)}`;
  const fall = [
    r.half >= 0 ? `to a half within ${lengthWord(r.half)}` : '',
    r.float >= 0 ? `to a fifth within ${lengthWord(r.float)}` : '',
  ].filter(Boolean);
  const fell = fall.length > 0 ? ` and fell ${fall.join(' and ')}` : '';
  const line = `Charging ${afterTest(r)} began with ${r.arg} mA${fell}.`;
  if (r.reason !== Reason.None) return `${line} ${reasonSentence(r.reason)}`;
  const seen = lengthWord(Math.max(0, r.curve.length - 1) * r.step);
  return r.float < 0 ? `${line} The supply broke off; it was seen for ${seen} only.` : line;
}

function orderText(r: OrderRecord): string {
  // Refusals at the door name no wish (wire.md): this is a test that was accepted and then called off.
  if (r.kind === 'refused' && r.do === OrderKind.Test && r.counter === 0)
    return `${testName({ type: r.arg, test: 0 })} by order was called off before it began. ${reasonSentence(r.reason)}`;
  const who = r.who === '' ? 'Somebody unknown' : r.who;
  const wish = `${who} ordered to ${orderWords(r.do, r.arg)}`;
  if (r.kind === 'order' && r.reason === Reason.None) return `${wish}; the controller obeyed.`;
  return `${wish}; the controller refused. ${reasonSentence(r.reason)}`.trimEnd();
}

/** One plain line for a record; `luminaires` are the circuit's, in sensor order. */
export function recordText(r: AnyRecord, luminaires: string[]): string {
  if (r.kind === 'start') return `The controller has started (firmware ${r.firmware}).`;
  if (r.kind === 'intent') return `${testName(r)} begins: the supply is about to be taken away.`;
  if (r.kind === 'result') return resultText(r, luminaires);
  if (r.kind === 'charge') return chargeText(r);
  if ('who' in r) return orderText(r);
  if (r.kind === 'trace')
    return `Trace of what the controller was given, part ${r.part + 1}${r.left === 0 ? ', the last' : ''}.`;
  return eventText(r);
}

/** How to mark a record's line. */
export function recordMark(r: AnyRecord): Mark {
  if (r.kind === 'result') return resultVerdict(r);
  if (r.kind === 'charge') return r.reason === Reason.None ? 'note' : 'alarm';
  const alarming = r.kind === 'fault' || r.kind === 'outage' || r.kind === 'overdue';
  return alarming ? 'alarm' : 'note';
}

/** A record's entry as readers get it; a record this host does not understand is shown as it came. */
export function recordView(
  entry: { entry: number; at: number; body: string; kind: string; hash: string },
  circuit: string,
  record: AnyRecord | undefined,
  luminaires: string[],
): LogEntryView {
  return {
    entry: entry.entry,
    at: entry.at,
    circuit,
    kind: entry.kind,
    text: record ? recordText(record, luminaires) : 'A record of a kind this host does not know.',
    mark: record ? recordMark(record) : 'note',
    body: entry.body,
    hash: entry.hash,
  };
}
