import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { StateMessage } from '../../../firmware/contract/messages';
import { hasValidSignature, sign } from '../../../firmware/contract/signature';
import { topicOf, type UpKind } from '../../../firmware/contract/topics';
import type { Desired } from '../../../host/ingest/answers';
import { createIngest, type IngestOptions } from '../../../host/ingest/ingest';
import { seededKeys, signMessage } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { runs } from '../../support/depth';
import { KEYS, newJournal } from '../logbook/records';

const A = 'demo/a';
const NOW_MS = 1770001234567;

const STATE: StateMessage = {
  ...{ v: 1, journal: '0a1b2c3d', boot: 3, up: 5000, utc: 1770001234, clock: 2, phase: 1, reason: 0 },
  ...{ waiting: 0, bits: 3, test: 0, type: 0, since: 0, charged: 0, last: 0, acked: 0, settings: 7, plan: 9 },
  ...{ overdue: 0, refused: 0 },
};

interface Sent {
  topic: string;
  message: Record<string, unknown>;
  qos: number;
}

async function newHost(more: Partial<IngestOptions> = {}, pagesMax = 0) {
  const logbook = await openLogbook(':memory:', { pagesMax });
  const sent: Sent[] = [];
  const problems: string[] = [];
  const seen: string[] = [];
  let nowMs = NOW_MS;
  let upMs = 0;
  const ingest = createIngest({
    logbook,
    keys: KEYS,
    clock: { nowMs: () => nowMs, upMs: () => upMs },
    publish(topic, payload, { qos }) {
      const [, site, controller, kind] = topic.split('/');
      const address = `${site}/${controller}`;
      expect(hasValidSignature(KEYS.keyOf(address), kind as UpKind, address, payload)).toBe(true);
      sent.push({ topic, message: JSON.parse(payload), qos });
      return true;
    },
    known: (address) => address !== 'demo/stranger',
    onRecord: ({ entry, record }) => seen.push(`${entry.entry} ${record?.seq}`),
    onProblem: (sentence) => problems.push(sentence),
    ...more,
  });
  /** Hands in a state and waits until it is answered. */
  const state = async (fields: Partial<StateMessage> = {}, retained = false) => {
    const text = signMessage(KEYS, A, 'state', { ...STATE, ...fields });
    const kind = ingest.accept(topicOf(A, 'state'), text, retained);
    await ingest.flush();
    return kind;
  };
  const kinds = () => sent.map(({ topic }) => topic.split('/')[3]);
  const wait = (ms: number) => {
    nowMs += ms;
    upMs += ms;
  };
  /** Puts the civil clock forward or back. */
  const setClock = (ms: number) => {
    nowMs += ms;
  };
  return { logbook, ingest, sent, problems, seen, state, kinds, wait, setClock };
}

describe('records', () => {
  it('acknowledges only what is committed, once per journal, signed', async () => {
    const { ingest, sent, seen } = await newHost();
    const journal = newJournal(A);
    for (let i = 0; i < 3; i++)
      expect(ingest.accept(topicOf(A, 'record'), journal.next('held', { reason: 23, arg: 0 }), false)).toBe(
        'record',
      );
    expect(sent).toEqual([]);
    expect(await ingest.flush()).toBe(true);
    expect(sent).toMatchObject([
      { topic: 'nightproof/demo/a/ack', message: { v: 1, journal: '0a1b2c3d', through: 3 }, qos: 1 },
    ]);
    expect(seen).toEqual(['1 1', '2 2', '3 3']);
  });

  it('acknowledges again in a storm of duplicates, and stores and reports each record once', async () => {
    const { ingest, logbook, sent, seen } = await newHost();
    const journal = newJournal(A);
    const texts = Array.from({ length: 20 }, () => journal.next('held', { reason: 23, arg: 0 }));
    for (let round = 0; round < 50; round++) {
      for (const text of texts) ingest.accept(topicOf(A, 'record'), Buffer.from(text), false);
      await ingest.flush();
    }
    expect(await logbook.entries()).toBe(20);
    expect(seen.length).toBe(20);
    expect(ingest.counts).toMatchObject({ stored: 20, duplicates: 980, conflicts: 0 });
    expect(sent.length).toBe(50);
    expect(new Set(sent.map(({ message }) => message.through))).toEqual(new Set([20]));
  });

  it('reports log book entry numbers correctly with duplicates in between', async () => {
    const { ingest, seen } = await newHost();
    const journal = newJournal(A);
    const [one, two, three] = [1, 2, 3].map(() => journal.next('held', { reason: 23, arg: 0 }));
    for (const text of [one, one, two, one, three]) ingest.accept(topicOf(A, 'record'), text, false);
    await ingest.flush();
    expect(seen).toEqual(['1 1', '2 2', '3 3']);
  });

  it('accepts records out of order, but acknowledges only without a gap', async () => {
    const { ingest, logbook, sent } = await newHost();
    const journal = newJournal(A);
    const texts = [1, 2, 3].map(() => journal.next('held', { reason: 23, arg: 0 }));
    ingest.accept(topicOf(A, 'record'), texts[2], false);
    await ingest.flush();
    expect(await logbook.entries()).toBe(1);
    // Nothing acknowledged, so the controller knows that its first records were lost.
    expect(sent).toMatchObject([{ message: { through: 0 } }]);
    ingest.accept(topicOf(A, 'record'), texts[0], false);
    ingest.accept(topicOf(A, 'record'), texts[1], false);
    await ingest.flush();
    expect(sent).toMatchObject([{ message: { through: 0 } }, { message: { through: 3 } }]);
  });

  it('loses and reorders nothing that comes while it commits', async () => {
    const { ingest, logbook, sent, seen } = await newHost();
    const journal = newJournal(A);
    const flushes: Promise<boolean>[] = [];
    for (let seq = 1; seq <= 30; seq++) {
      ingest.accept(topicOf(A, 'record'), journal.next('held', { reason: 23, arg: 0 }), false);
      if (seq % 3 === 0) flushes.push(ingest.flush());
      if (seq % 5 === 0) await Promise.resolve();
    }
    expect(await Promise.all(flushes)).not.toContain(false);
    expect(seen).toEqual(Array.from({ length: 30 }, (_, i) => `${i + 1} ${i + 1}`));
    const told = sent.map(({ message }) => message.through as number);
    expect(told).toEqual([...told].sort((a, b) => a - b));
    expect(told[told.length - 1]).toBe(30);
    expect(await logbook.entries()).toBe(30);
  });

  it('stores a signed record of a kind it does not know, as evidence for a newer host', async () => {
    const { ingest, logbook } = await newHost();
    ingest.accept(topicOf(A, 'record'), newJournal(A).next('novelty', { what: 1 }), false);
    await ingest.flush();
    expect((await logbook.page({ limit: 1 }))[0].kind).toBe('novelty');
  });

  it('acknowledges nothing while the disk is full, says so once, and resumes when there is room', async () => {
    const { ingest, logbook, sent, problems } = await newHost({}, 60);
    const journal = newJournal(A);
    const texts = Array.from({ length: 600 }, () => journal.next('held', { reason: 23, arg: 0 }));
    for (let round = 0; round < 3; round++) {
      for (const text of texts) ingest.accept(topicOf(A, 'record'), text, false);
      expect(await ingest.flush()).toBe(false);
    }
    expect(sent).toEqual([]);
    expect(await logbook.entries()).toBe(0);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatch(/^The disk of the log book .* is full\. .*\.$/);
    ingest.accept(topicOf(A, 'record'), texts[0], false);
    expect(await ingest.flush()).toBe(true);
    expect(sent).toMatchObject([{ message: { through: 1 } }]);
  });

  it('acknowledges what is stored although whoever is told of it fails', async () => {
    const { ingest, logbook, sent, problems } = await newHost({
      onRecord: () => {
        throw new Error('The page has failed.');
      },
    });
    const journal = newJournal(A);
    for (let seq = 1; seq <= 2; seq++) {
      ingest.accept(topicOf(A, 'record'), journal.next('held', { reason: 23, arg: 0 }), false);
      expect(await ingest.flush()).toBe(true);
      expect(await logbook.entries()).toBe(seq);
      expect(sent[sent.length - 1]).toMatchObject({ message: { through: seq } });
    }
    expect(ingest.counts).toMatchObject({ stored: 2, deferred: 0 });
    expect(problems).toContain('The page has failed.');
  });

  it('owes an acknowledgement that it could not make, and makes it with the next commit', async () => {
    const logbook = await openLogbook(':memory:');
    let fails = 0;
    const { ingest, sent, state } = await newHost({
      logbook: {
        ...logbook,
        throughAll: () => Promise.reject(new Error('No.')),
        through: (...asked) => (fails-- > 0 ? Promise.reject(new Error('No.')) : logbook.through(...asked)),
      },
    });
    // How far a journal with a gap for good is stored, must be looked up.
    await state({ last: 4, acked: 4 });
    fails = 1;
    const other = 'demo/b';
    const texts = [newJournal(A), newJournal(other)].map((j) => j.next('held', { reason: 23, arg: 0 }));
    [A, other].forEach((address, i) => void ingest.accept(topicOf(address, 'record'), texts[i], false));
    expect(await ingest.flush()).toBe(true);
    const acks = () => sent.filter(({ topic }) => topic.endsWith('/ack'));
    const first = { topic: topicOf(other, 'ack'), message: { through: 1 } };
    expect(acks()).toMatchObject([first]);
    await ingest.flush();
    expect(acks()).toMatchObject([first, { topic: topicOf(A, 'ack'), message: { through: 4 } }]);
  });

  it('keeps a second, different record under the same number as evidence and reports it', async () => {
    const { ingest, logbook, problems } = await newHost();
    ingest.accept(topicOf(A, 'record'), newJournal(A).next('held', { reason: 23, arg: 0 }), false);
    ingest.accept(topicOf(A, 'record'), newJournal(A).next('held', { reason: 23, arg: 1 }), false);
    await ingest.flush();
    expect(ingest.counts).toMatchObject({ stored: 1, conflicts: 1 });
    expect(await logbook.evidenceCount()).toBe(1);
    expect(problems).toEqual(['Controller demo/a sent two different records under number 1; both are kept.']);
  });
});

describe('what is refused', () => {
  const record = newJournal(A).next('held', { reason: 23, arg: 0 });
  const foreign = newJournal(A, '0a1b2c3d', seededKeys(2)).next('held', { reason: 23, arg: 0 });

  it.each([
    ['a record signed with another key', 'nightproof/demo/a/record', foreign, 'signature'],
    ['a record passed off as a state', 'nightproof/demo/a/state', record, 'signature'],
    ['a record of another controller', 'nightproof/demo/b/record', record, 'signature'],
    ['an unsigned record', 'nightproof/demo/a/record', '{"v":1,"seq":1}', 'signature'],
    [
      'a controller that is not of this site',
      'nightproof/demo/stranger/record',
      record,
      'unknown controller',
    ],
    ['a topic of somebody else', 'zigbee/demo/a/record', record, 'topic'],
    ['a message of the host itself', 'nightproof/demo/a/ack', record, 'topic'],
    ['too long a message', 'nightproof/demo/a/record', 'x'.repeat(4097), 'size'],
    ['an empty message', 'nightproof/demo/a/record', '', 'size'],
    ['control characters', 'nightproof/demo/a/record', '{\n}', 'unreadable'],
    ['a live reading that is none', 'nightproof/demo/a/live', '{"v":1,"ma":"all"}', 'shape'],
    [
      'a signed record without number',
      'nightproof/demo/a/record',
      signMessage(KEYS, A, 'record', { v: 1 }),
      'shape',
    ],
  ] as const)('refuses %s and stores nothing', async (_what, topic, payload, why) => {
    const { ingest, logbook, sent } = await newHost();
    expect(ingest.accept(topic, payload, false)).toBe(why);
    expect(ingest.counts.refused[why]).toBe(1);
    await ingest.flush();
    // What is signed is not dropped, but it is no record.
    expect((await logbook.after(0, 9)).filter(({ kind }) => kind !== 'kept')).toEqual([]);
    expect(sent).toEqual([]);
  });

  it.each([
    ['a number with an exponent', '"utc":1770000060', '"utc":1.77000006e9'],
    ['a number with a fraction of zero', '"seq":1,', '"seq":1.0,'],
    ['a doubled number', '"seq":1,', '"seq":1,"seq":2,'],
    ['a doubled name further back', '"arg":0', '"arg":0,"kind":"result"'],
    ['a name written otherwise', '"kind":', '"k\\u0069nd":'],
    ['a second number inside another field', '"v":1,', '"x":{"seq":9},"v":1,'],
    ['a blank', '"seq":1', '"seq": 1'],
    ['the journal of what is kept apart', '"0a1b2c3d"', '"kept"'],
    ['the journal of orders', '"0a1b2c3d"', '"orders"'],
  ])('keeps a signed record apart that has %s, and the log book stays whole', async (_what, from, to) => {
    const { ingest, logbook, problems } = await newHost();
    const plain = record.replace(/,"mac".*/, '');
    const odd = sign(KEYS.keyOf(A), 'record', A, plain.replace(from, to));
    expect(odd).not.toBe(record);
    expect(ingest.accept(topicOf(A, 'record'), odd, false)).toBe('shape');
    ingest.accept(topicOf(A, 'record'), odd, false);
    await ingest.flush();
    expect((await logbook.after(0, 9)).map(({ kind }) => kind)).toEqual(['kept']);
    expect((await logbook.evidence(10)).map(({ body }) => body)).toEqual([odd]);
    expect(problems).toEqual([
      'Controller demo/a signed a record that cannot be read in one way only; it is kept apart.',
    ]);
    ingest.accept(topicOf(A, 'record'), record, false);
    await ingest.flush();
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 2 });
  });

  it('accepts no message with a single character changed', async () => {
    const { ingest, logbook } = await newHost();
    fc.assert(
      fc.property(fc.nat(record.length - 1), fc.integer({ min: 0x20, max: 0x7e }), (at, code) => {
        const character = String.fromCharCode(code);
        fc.pre(record[at] !== character);
        const changed = record.slice(0, at) + character + record.slice(at + 1);
        expect(ingest.accept(topicOf(A, 'record'), changed, false)).not.toBe('record');
      }),
      { numRuns: runs(500) },
    );
    await ingest.flush();
    expect(await logbook.entries()).toBe(0);
  });

  it('survives any bytes on any topic', async () => {
    const { ingest, logbook } = await newHost();
    const kinds = fc.constantFrom('record', 'state', 'live', 'reply', 'presence');
    fc.assert(
      fc.property(kinds, fc.uint8Array({ maxLength: 200 }), (kind, bytes) => {
        ingest.accept(`nightproof/demo/a/${kind}`, Buffer.from(bytes), false);
      }),
    );
    await ingest.flush();
    expect(await logbook.entries()).toBe(0);
  });

  it('complains once about a forged topic, however often it comes', async () => {
    const { ingest, problems } = await newHost();
    for (let i = 0; i < 100; i++) ingest.accept(topicOf(A, 'record'), foreign, false);
    expect(problems).toHaveLength(1);
    expect(ingest.counts.refused.signature).toBe(100);
  });
});

describe('states', () => {
  it('answers the time, echoing boot and up, by QoS 0', async () => {
    const { state, sent } = await newHost();
    expect(await state()).toBe('state');
    expect(sent).toMatchObject([
      { topic: 'nightproof/demo/a/time', qos: 0, message: { v: 1, boot: 3, up: 5000, utc: NOW_MS } },
    ]);
  });

  it('does not answer a retained state, which only shows the past', async () => {
    const heard: boolean[] = [];
    const { state, sent } = await newHost({ onState: (_a, _s, retained) => heard.push(retained) });
    await state({}, true);
    expect(heard).toEqual([true]);
    expect(sent).toEqual([]);
  });

  it('acknowledges again if the controller missed it', async () => {
    const { ingest, state, sent, kinds } = await newHost();
    ingest.accept(topicOf(A, 'record'), newJournal(A).next('held', { reason: 23, arg: 0 }), false);
    await ingest.flush();
    sent.length = 0;
    await state({ last: 1, acked: 0 });
    expect(kinds()).toEqual(['time', 'ack']);
    sent.length = 0;
    await state({ up: 6000, last: 1, acked: 1 });
    expect(kinds()).toEqual(['time']);
  });

  it('refuses an older state that someone recorded and sends again', async () => {
    const ups: number[] = [];
    const { state } = await newHost({ onState: (_a, s) => ups.push(s.boot * 1e6 + s.up) });
    expect(await state({ boot: 3, up: 9000 })).toBe('state');
    expect(await state({ boot: 3, up: 8000 })).toBe('replayed');
    expect(await state({ boot: 2, up: 90000 })).toBe('replayed');
    expect(await state({ boot: 4, up: 10 })).toBe('state');
    expect(await state({ journal: 'ffffffff', boot: 1, up: 10, utc: 1600000000 })).toBe('replayed');
    expect(await state({ journal: 'ffffffff', boot: 1, up: 10, utc: 0 })).toBe('state');
    expect(ups).toEqual([3009000, 4000010, 1000010]);
  });

  it('sends settings and plan that differ, but not after every state', async () => {
    const desired = { settings: { v: 1, revision: 8 }, plan: { v: 1, revision: 9 } } as Desired;
    const { state, sent, kinds, wait } = await newHost({ desired: () => desired });
    await state();
    expect(kinds()).toEqual(['time', 'settings']);
    await state({ up: 6000 });
    expect(kinds()).toEqual(['time', 'settings', 'time']);
    wait(10000);
    sent.length = 0;
    await state({ up: 16000 });
    expect(kinds()).toEqual(['time', 'settings']);
    wait(10000);
    sent.length = 0;
    await state({ up: 26000, settings: 8 });
    expect(kinds()).toEqual(['time']);
  });

  it('sends settings also after the clock of the host was put back by a day', async () => {
    const desired = { settings: { v: 1, revision: 8 } } as Desired;
    const { state, sent, kinds, wait, setClock } = await newHost({ desired: () => desired });
    await state();
    setClock(-86400000);
    sent.length = 0;
    await state({ up: 6000 });
    expect(kinds()).toEqual(['time']);
    wait(10000);
    sent.length = 0;
    await state({ up: 16000 });
    expect(kinds()).toEqual(['time', 'settings']);
  });

  describe('with a log book that lacks what a controller has passed on', () => {
    const journal = newJournal(A);
    const texts = Array.from({ length: 9 }, () => journal.next('held', { reason: 23, arg: 0 }));

    /** A host whose log book lacks records, and the answers that it gives to the order. */
    async function behind(agrees?: boolean) {
      const asked: string[] = [];
      const answers: ((agreed: boolean) => void)[] = [];
      const sendAgain = (address: string): Promise<boolean> => {
        asked.push(address);
        return agrees === undefined
          ? new Promise((resolve) => answers.push(resolve))
          : Promise.resolve(agrees);
      };
      const host = await newHost({ sendAgain });
      const take = async (from: number, to: number): Promise<void> => {
        for (const text of texts.slice(from - 1, to)) host.ingest.accept(topicOf(A, 'record'), text, false);
        await host.ingest.flush();
      };
      /** Numbers acknowledged since this was last called. */
      const acks = () =>
        host.sent
          .splice(0)
          .filter(({ topic }) => topic.endsWith('/ack'))
          .map(({ message }) => message.through);
      return { ...host, asked, answers, take, acks };
    }

    it('says so and continues after the gap, where nobody can ask', async () => {
      const { ingest, state, sent, problems } = await newHost();
      await state({ last: 6, acked: 4 });
      expect(problems).toHaveLength(1);
      expect(problems[0]).toContain('lacks some of the records 1 to 4');
      sent.length = 0;
      for (const text of texts.slice(4, 6)) ingest.accept(topicOf(A, 'record'), text, false);
      await ingest.flush();
      expect(sent).toMatchObject([{ message: { through: 6 } }]);
    });

    it('asks it once to send them again, and acknowledges only what it has', async () => {
      const { state, asked, answers, take, acks, problems } = await behind();
      await take(1, 2);
      await state({ last: 6, acked: 6 });
      expect(asked).toEqual([A]);
      expect(problems).toEqual([expect.stringContaining('asked to send again')]);
      acks();
      // On its way before the controller took the order.
      await take(7, 7);
      await state({ last: 7, acked: 6, up: 6000 });
      answers[0](true);
      await Promise.resolve();
      await state({ last: 7, acked: 6, up: 6100 });
      expect(new Set(acks())).toEqual(new Set([2]));
      await state({ last: 7, acked: 0, up: 6200 });
      await take(1, 7);
      expect(acks().at(-1)).toBe(7);
      expect([asked.length, problems.length]).toEqual([1, 1]);
    });

    it('goes on after what the controller no longer keeps, and says what is missing', async () => {
      const { state, take, acks, problems } = await behind(true);
      await take(1, 2);
      await state({ last: 9, acked: 9 });
      await state({ last: 9, acked: 5, up: 6000 });
      await take(6, 9);
      expect(acks().at(-1)).toBe(9);
      expect(problems[1]).toContain('lacks some of the records 3 to 5');
    });

    it('goes on if the controller keeps nothing older, once no late state can be meant', async () => {
      const { state, wait, take, acks } = await behind(true);
      await state({ last: 5, acked: 5 });
      await state({ last: 5, acked: 5, up: 6000 });
      await take(6, 6);
      expect(new Set(acks())).toEqual(new Set([0]));
      wait(60_000);
      await state({ last: 6, acked: 5, up: 66_000 });
      expect(acks()).toEqual([6]);
    });

    it('asks one that refused again an hour later, and goes on meanwhile', async () => {
      const { state, wait, asked, take, acks, problems } = await behind(false);
      await state({ last: 4, acked: 4 });
      await state({ last: 4, acked: 4, up: 6000 });
      await take(5, 5);
      expect(acks().at(-1)).toBe(5);
      wait(3_600_000);
      await state({ last: 5, acked: 5, up: 3_606_000 });
      expect(asked).toEqual([A, A]);
      expect(problems).toHaveLength(3);
    });
  });

  it('passes on live readings, replies and presence', async () => {
    const seen: unknown[] = [];
    const { ingest } = await newHost({
      onLive: (address, live) => seen.push([address, live.ma]),
      onReply: (address, reply) => seen.push([address, reply.counter]),
      onPresence: (address, presence) => seen.push([address, presence.online]),
    });
    const live = '{"v":1,"test":4,"type":1,"t":12,"ma":[300,0],"verdict":[0,2]}';
    ingest.accept(topicOf(A, 'live'), live, false);
    ingest.accept(
      topicOf(A, 'reply'),
      signMessage(KEYS, A, 'reply', { v: 1, counter: 7, ok: 1, reason: 0 }),
      false,
    );
    ingest.accept(topicOf(A, 'presence'), '{"v":1,"online":0}', true);
    expect(seen).toEqual([
      [A, [300, 0]],
      [A, 7],
      [A, 0],
    ]);
  });
});

describe('whatever fails', () => {
  const fail = (): never => {
    throw new Error('Broken.');
  };
  const parts = [
    ...(['onRecord', 'onState', 'onLive', 'onReply', 'onPresence', 'onProblem'] as const),
    ...(['desired', 'publish'] as const),
  ];

  it.each(parts)('takes and stores what comes in while %s throws', async (part) => {
    const { ingest, logbook, state } = await newHost({ [part]: fail });
    const journal = newJournal(A);
    const reply = signMessage(KEYS, A, 'reply', { v: 1, counter: 7, ok: 1, reason: 0 });
    const live = '{"v":1,"test":4,"type":1,"t":12,"ma":[300,0],"verdict":[0,2]}';
    const foreign = newJournal(A, '0a1b2c3d', seededKeys(2)).next('held', { reason: 23, arg: 0 });
    for (let round = 1; round <= 3; round++) {
      expect(await state({ up: 1000 * round, acked: 90 })).toBe('state');
      expect(ingest.accept(topicOf(A, 'live'), live, false)).toBe('live');
      expect(ingest.accept(topicOf(A, 'reply'), reply, false)).toBe('reply');
      expect(ingest.accept(topicOf(A, 'presence'), '{"v":1,"online":0}', true)).toBe('presence');
      expect(ingest.accept(topicOf(A, 'record'), foreign, false)).toBe('signature');
      ingest.accept(topicOf(A, 'record'), journal.next('held', { reason: 23, arg: 0 }), false);
      expect(await ingest.flush()).toBe(true);
      expect(await logbook.entries()).toBe(round);
    }
  });
});
