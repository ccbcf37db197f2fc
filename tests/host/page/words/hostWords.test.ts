// The page against the real sentences of the host, not against samples of them.
import fc from 'fast-check';
import { afterEach, describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind, Verdict } from '../../../../firmware/contract/codes';
import type { AnyRecord, StateMessage } from '../../../../firmware/contract/messages';
import { intervalWords } from '../../../../host/duties/duties';
import { FORMS } from '../../../../host/duties/forms';
import { type DiagnosisInput, diagnose } from '../../../../host/house/view/diagnosis';
import { recordText } from '../../../../host/house/view/recordView';
import { type RiskInput, riskNotice } from '../../../../host/house/view/riskNotice';
import { controllerSentence } from '../../../../host/house/view/sentence';
import type { Tongue } from '../../../../host/page/tongues/names';
import { SAID } from '../../../../host/page/tongues/said';
import { hostWords, workWords } from '../../../../host/page/words/hostWords';
import { profiles } from '../../../../host/profiles/profile';
import { orderWords, reasonSentence, selfTestSentence } from '../../../../host/words/codes';
import { dayWord } from '../../../../host/words/when';
import { speak, TONGUES } from '../../../support/tongues';
import { HOUSE } from '../../house/site';
import { controller, underTest } from '../samples';
import { runsOf } from '../tongues/leaves';

const OTHERS = (Object.keys(TONGUES) as Tongue[]).filter((tongue) => tongue !== 'en');
afterEach(() => speak('en'));

const NUMBERS = Array.from({ length: 255 }, (_, n) => n);
const REASONS = NUMBERS.filter((n) => n > 0 && !/unknown to this host/.test(reasonSentence(n)));
const KINDS = [TestKind.Brief, TestKind.Full, TestKind.Limited, TestKind.Commissioning];
const NOW = Date.parse('2026-09-02T22:00Z') / 1000;

function states(): string[] {
  const state = (more: Partial<StateMessage>) =>
    ({ phase: Phase.Charged, type: TestKind.Brief, reason: 0, waiting: 0, ...more }) as StateMessage;
  const all = [
    ...NUMBERS.slice(0, Phase.Fault + 1).flatMap((phase) => KINDS.map((type) => state({ phase, type }))),
    ...REASONS.flatMap((reason) => [Phase.Held, Phase.Fault].map((phase) => state({ phase, reason }))),
    ...REASONS.flatMap((waiting) =>
      [Phase.Charged, Phase.Recharging].map((phase) => state({ phase, waiting })),
    ),
  ];
  const told = all.flatMap((one) => [
    controllerSentence(one, 'reporting', 5, ''),
    controllerSentence(one, 'silent', 7500, ''),
  ]);
  const unheard = ['', 'Tue 6 Jan 2026'].map((day) => controllerSentence(undefined, 'never heard', 0, day));
  return [...told, ...unheard];
}

function risks(): string[] {
  const kinds = ['brief', 'full', 'limited', 'commissioning'] as const;
  const silent = { contact: 'silent', heardAt: NOW - 9000 } as const;
  const controllers = [
    ...kinds.map((kind) => underTest('a', { kind, since: NOW - 60 })),
    ...kinds.map((kind) => underTest('a', { ...silent, kind, since: NOW - 60 })),
    underTest('a', { ...silent, since: NOW - 900_000 }),
    controller('a', { supplyAfter: false }),
    controller('a', { ...silent, supplyAfter: false }),
    controller('a', { phase: 'recharging', charged: NOW + 900 }),
    controller('a', { phase: 'recharging' }),
    controller('a', { ...silent, phase: 'recharging', charged: NOW + 900 }),
    controller('a', { ...silent, phase: 'recharging' }),
  ];
  const tonight = kinds.map((kind) => ({
    ...{ circuit: 'b', test: 4, kind, state: 'due' as const, start: NOW + 3600, end: NOW + 9000 },
  }));
  const lengthsOf: RiskInput['lengthsOf'] = () => ({ testSec: 90, rechargeSec: 3600 });
  const { entries, ifPowerFails } = riskNotice({ site: HOUSE, controllers, tonight, now: NOW, lengthsOf });
  return [...entries.map(({ sentence }) => sentence), ifPowerFails];
}

const ORDERS = [
  ...[OrderKind.Restore, OrderKind.Release, OrderKind.ClearFault, OrderKind.Trace, OrderKind.SendAgain],
  ...[OrderKind.Hold, OrderKind.Extend],
].map((order): [number, number] => [order, 7500]);

/** Lines of the log book about what happens in every building. */
function lines(): string[] {
  const of = (record: object) => recordText(record as AnyRecord, () => undefined);
  const events = ['held', 'reminder', 'cleared', 'fault'].flatMap((kind) =>
    REASONS.filter((reason) => reason !== Reason.GuardSlow).map((reason) => ({ kind, reason, arg: 0 })),
  );
  const other = [
    ...['outage', 'supply', 'released', 'overdue', 'clock', 'chip', 'held', 'reminder'].map((kind) => ({
      ...{ kind, arg: 7500, reason: kind === 'chip' ? Reason.ClockFault : Reason.None },
    })),
    ...['clock', 'chip'].map((kind) => ({ kind, arg: -90, reason: Reason.ClockFault })),
    ...[0, 7].map((arg) => ({ kind: 'chip', arg, reason: arg === 0 ? Reason.ClockFault : Reason.None })),
    { kind: 'overdue', arg: 0, reason: Reason.None },
    { kind: 'overdue', arg: 6, type: TestKind.Full, reason: Reason.None },
    { kind: 'overdue', arg: 0, reason: Reason.ClockUntrusted },
    { kind: 'supply', arg: 300, reason: Reason.Outage },
    { kind: 'supply', arg: 3, reason: Reason.UnsteadySupply },
    ...[1, 2].map((seq) => ({ kind: 'start', seq, firmware: '1.4.2' })),
    ...KINDS.flatMap((type) => [0, 12].map((test) => ({ kind: 'intent', test, type }))),
    ...[-1, 600].flatMap((half) =>
      [-1, 7500].map((float) => ({
        ...{ kind: 'charge', test: 3, arg: 210, half, float: half < 0 ? -1 : float },
        ...{ curve: [1, 2, 3], step: 300, reason: Reason.None },
      })),
    ),
    ...[Reason.NoCharge, Reason.SlowRecharge].map((reason) => ({
      ...{ kind: 'charge', test: 0, arg: 4, half: -1, float: -1, curve: [], step: 60, reason },
    })),
    ...ORDERS.flatMap(([order, arg]) =>
      [Reason.None, Reason.Busy].map((reason) => ({
        ...{ kind: 'order', do: order, arg, counter: 4, who: 'Maren Tollick', reason },
      })),
    ),
    ...KINDS.map((arg) => ({
      ...{ kind: 'refused', do: OrderKind.Test, arg, counter: 0, who: '', reason: Reason.Occupied },
    })),
  ];
  return [...events, ...other].map(of);
}

/** Luminaires of every history, well and ill. */
const HISTORY = fc.record<DiagnosisInput>({
  results: fc.array(
    fc.record({
      kind: fc.constantFrom(...KINDS),
      verdict: fc.constantFrom(Verdict.Pass, Verdict.Fail, Verdict.Fail, Verdict.Void),
      reason: fc.constantFrom(...REASONS.filter((reason) => reason < 70)),
      litSec: fc.integer({ min: 0, max: 10_800 }),
      ...{ milliampsAt5: fc.constantFrom(0, 20, 150), milliampsAt60: fc.nat(200) },
      ...{ milliampsEnd: fc.nat(200), onMainsMilliamps: fc.constantFrom(-3, 0, 0, 9) },
      at: fc.constant(0),
    }),
    { minLength: 1, maxLength: 5 },
  ),
  ratedSec: fc.constant(10_800),
  batteryMilliamps: fc.constant(150),
  darkOnMains: fc.boolean(),
  crossTalk: fc.constant(''),
  noCharge: fc.constantFrom([], [{ at: NOW - 86_400, milliamps: 3 }]),
  dateOf: fc.constant((utcSec: number) => dayWord(utcSec, 'UTC')),
});

/** A lamp that was not lit drew next to nothing. */
function darkIfUnlit({ reason }: { reason: number }): { milliampsAt5?: number } {
  const isUnlit = reason === Reason.NotLitAtFiveSeconds || reason === Reason.AllDark;
  return isUnlit ? { milliampsAt5: 20 } : {};
}

function diagnoses(): string[] {
  const all = fc.sample(HISTORY, { numRuns: 600, seed: 3 }).map(({ results, ...rest }) =>
    diagnose({
      ...rest,
      results: results.map((one, i) => ({ ...one, ...darkIfUnlit(one), at: NOW - i * 86_400 })),
    }),
  );
  return all.filter((said) => said !== '');
}

const FORM_WORDS = Object.values(FORMS).flatMap(({ title, by, points }) => [
  ...[title, by],
  ...points.map(({ words }) => words),
]);
const INTERVALS = profiles.flatMap(({ duties }) =>
  duties.flatMap(({ due }) => (due ? [intervalWords(due.interval.value)] : [])),
);

describe.each(OTHERS)('in %s', (tongue) => {
  it.each([
    ['reason', [...REASONS.map(reasonSentence), ...NUMBERS.map(selfTestSentence).filter(Boolean)]],
    ['state of a controller', states()],
    ['line of the risk notice', risks()],
    ['order', [...ORDERS, ...KINDS.map((kind) => [OrderKind.Test, kind])].map(([a, b]) => orderWords(a, b))],
    ['line of the log book', lines()],
    ['diagnosis', diagnoses()],
    ['duty, and what it asks', FORM_WORDS],
    ['interval', INTERVALS],
  ])('the page has words for every %s', (_what, sentences) => {
    speak(tongue);
    expect(sentences.length).toBeGreaterThan(3);
    const isLeft = (sentence: string) => {
      const english = new Set(runsOf(sentence, 4));
      const words = hostWords(sentence);
      return words === sentence || runsOf(words, 4).some((run) => english.has(run));
    };
    expect([...new Set(sentences.filter(isLeft))]).toEqual([]);
  });

  it('every sentence keeps what changes in it', () => {
    const places = (text: string) => [...text.matchAll(/\{\w+\}/g)].map(([place]) => place).sort();
    for (const key of SAID) expect(places(TONGUES[tongue].said[key]), key).toEqual(places(key));
  });
});

it('values keep their place, in the form of the language', () => {
  speak('de');
  expect(
    hostWords(
      'Hall (circuit a): on battery now in a duration test, batteries full again on Wed 2 Sept 2026, 23:50.',
    ),
  ).toBe(
    'Hall (Stromkreis a): jetzt auf Batterie, Betriebsdauertest, Batterien wieder voll am Mi. 2. Sept. 2026, 23:50.',
  );
  expect(
    hostWords(
      'Function test ended after 90 s: 1 of 4 luminaires failed. W1-01: The lamp flickers: on average it gave too little current, though not all the time.',
    ),
  ).toMatch(
    /^Funktionstest endete nach 90 s: 1 von 4 Notleuchten nicht bestanden\. W1-01: Die Lampe flackert/,
  );
});

it('a text of which one sentence is unknown stays English as a whole', () => {
  speak('de');
  const text = 'Testing is on hold. The moon is full.';
  expect(hostWords(text)).toBe(text);
  const leave = 'If the power fails: leave Hall at once by torchlight, keep everyone out, and tell Dr. Bell.';
  expect(hostWords(`${leave} The moon is full.`)).toBe(`${leave} The moon is full.`);
  expect(hostWords(leave)).toMatch(/^Bei Stromausfall: Hall .*: Dr\. Bell\.$/);
  expect(hostWords('Someone put testing on hold.')).not.toMatch(/testing/);
});

describe.each(OTHERS)('in %s, what a person typed stays as it was typed', (tongue) => {
  const typed = 'Tell A. Tell B. Testing is on hold.';
  it.each([
    `Bell withdrew entry 5: ${typed}`,
    `Recorded: Bell withdrew entry 5: ${typed}`,
    `Withdrawn on Tue 6 Jan 2026 by Dr. Bell (entry 14): ${typed}`,
    `Bell repaired G2-04, G2-05 (${typed}); a function test is due by Fri 18 Dec 2026.`,
    `Recorded: Bell repaired G2-04 (${typed}); a function test is due by Fri 18 Dec 2026.`,
  ])('%s', (text) => {
    speak(tongue);
    const words = hostWords(text);
    expect(words).toContain(typed.replace(/\.$/, ''));
    expect(words.replace(typed, '')).not.toMatch(/withdr|repaired|entry|due by/i);
  });

  it('but the part that was chosen has its word', () => {
    speak(tongue);
    expect(workWords('battery changed')).toBe(TONGUES[tongue].said['battery changed']);
    expect(workWords('Tell A.')).toBe('Tell A.');
    const repaired = 'Bell repaired G2-04 (lamp changed); a function test is due by Fri 18 Dec 2026.';
    expect(hostWords(repaired)).toContain(TONGUES[tongue].said['lamp changed']);
  });
});

it('a text of many sentences, the last unknown, takes no longer than its length allows', () => {
  speak('de');
  const many = (n: number) => `${'Tell A. '.repeat(n)}Zz!`;
  const deep = `${'Recorded: '.repeat(40)}Zz!`;
  const begun = performance.now();
  for (const text of [many(40), deep]) expect(hostWords(text)).toBe(text);
  expect(performance.now() - begun).toBeLessThan(5_000);
});

it('a day in September is read in either spelling, and a month that is none leaves the text English', () => {
  speak('de');
  const until = (month: string) =>
    hostWords(`Bell repaired E4; a function test is due by Wed 2 ${month} 2026.`);
  expect(until('Sept')).toMatch(/2\. Sept\. 2026/);
  expect(until('Sep')).toBe(until('Sept'));
  expect(until('Sen')).toMatch(/Bell repaired E4; .* Sen 2026\.$/);
});
