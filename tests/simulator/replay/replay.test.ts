// A trace recorded by a simulated controller replays to exactly the same records; one that was tampered with
// does not.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import type { TraceRecord } from '../../../firmware/contract/messages';
import { replay } from '../../../simulator/replay/replay';
import { readTrace, TraceError } from '../../../simulator/replay/trace';
import { Estate, type EstateOptions, HOURS, WINDOW, WINDOW_MS } from '../estate';

const CHARS = 24_000;
const MINUTE_MS = 60_000;

/** An estate in which a trace of the next test was ordered well ahead. */
function traced(kind: TestKind, o: Partial<EstateOptions> = {}, hours = 0.5): Estate {
  const estate = new Estate({ slots: [[1, kind, WINDOW.start, WINDOW.end]], ...o });
  estate.run(WINDOW_MS - HOURS(0.5));
  estate.order(OrderKind.Trace, CHARS);
  return estate.run(WINDOW_MS + HOURS(hours));
}

function partsOf(estate: Estate): TraceRecord[] {
  return estate.of('trace') as TraceRecord[];
}

/** The phases that the replayed core went through. */
function phasesOf(again: ReturnType<typeof replay>): Phase[] {
  return again.decisions.flatMap(({ what }) => (what.kind === 'phase' ? [what.phase] : []));
}

/** The records with one token of the trace changed. */
function changed(estate: Estate, from: RegExp, to: string): string[] {
  const place = estate.records.findLastIndex((text) => text.includes('"kind":"trace"') && from.test(text));
  return estate.records.map((text, i) => (i === place ? text.replace(from, to) : text));
}

describe('a trace', () => {
  it('of a brief test gives the same records, byte for byte', () => {
    const estate = traced(TestKind.Brief, { noise: true });
    const trace = readTrace(estate.records);
    const again = replay(trace);
    expect(again.difference).toBeUndefined();
    expect(trace.isWhole).toBe(true);
    expect(again.same).toBe(trace.bodies.length);
    expect(trace.bodies.some((body) => body.includes('"kind":"result"'))).toBe(true);
    expect(phasesOf(again)).toEqual([Phase.Opening, Phase.Brief, Phase.Restoring, Phase.Recharging]);
  });

  it('of a full test gives the same as long as there is room for it', () => {
    const estate = traced(TestKind.Full, { noise: true }, 2);
    const trace = readTrace(estate.records);
    const again = replay(trace);
    expect(again.difference).toBeUndefined();
    expect(again.same).toBe(trace.bodies.length);
    const room = partsOf(estate).reduce((sum, part) => sum + part.text.length, 0);
    expect(room).toBeGreaterThan(CHARS - 500);
    expect(room).toBeLessThan(CHARS + 500);
  });

  it('reports a failed lamp, and a test that someone stopped, as they happened', () => {
    const estate = new Estate({
      slots: [[1, TestKind.Brief, WINDOW.start, WINDOW.end]],
      spec: { faults: [{ kind: 'dead lamp', at: 0, luminaire: 'l1' }] },
    });
    estate.run(WINDOW_MS - MINUTE_MS);
    estate.order(OrderKind.Trace, CHARS);
    estate.run(WINDOW_MS + 20_000);
    estate.order(OrderKind.Restore);
    estate.run(WINDOW_MS + HOURS(1));
    const trace = readTrace(estate.records);
    const again = replay(trace);
    expect(again.difference).toBeUndefined();
    expect(trace.given.filter((given) => given.what === 'order')).toHaveLength(1);
    const result = trace.bodies.find((body) => body.includes('"kind":"result"'));
    expect(result).toContain(`"end":${Reason.OrderedRestore}`);
    expect(again.same).toBe(trace.bodies.length);
  });

  it('of an ordered test that was called off before it opened gives the same record of it', () => {
    const at = WINDOW_MS + 2 * MINUTE_MS;
    const estate = new Estate({
      slots: [[1, TestKind.None, WINDOW.start, WINDOW.end]],
      spec: { faults: [{ kind: 'stop pressed', at: at + 750, to: at + 2000 }] },
    });
    estate.run(WINDOW_MS + MINUTE_MS);
    estate.order(OrderKind.Trace, CHARS);
    estate.run(at);
    estate.order(OrderKind.Test, TestKind.Brief);
    estate.run(WINDOW_MS + 3 * MINUTE_MS);
    const trace = readTrace(estate.records);
    const again = replay(trace);
    expect(trace.bodies.some((body) => body.includes('"kind":"refused"'))).toBe(true);
    expect(again.difference).toBeUndefined();
    expect(again.same).toBe(trace.bodies.length);
  });

  it('restarts while nothing happens, so that the night before the test takes no room', () => {
    const estate = new Estate({ slots: [[1, TestKind.Brief, WINDOW.start, WINDOW.end]] });
    estate.run(WINDOW_MS - HOURS(0.5));
    estate.order(OrderKind.Trace, CHARS);
    // Every state message is answered with the time, which goes into the trace.
    for (let i = 0; i < 25; i++) {
      estate.run(WINDOW_MS - HOURS(0.5) + i * MINUTE_MS);
      estate.node.controller!.core.dirty = 1;
      estate.node.controller!.linkAt = 0;
      estate.fleet.schedule(estate.node);
    }
    estate.run(WINDOW_MS + HOURS(0.5));
    const firsts = partsOf(estate).filter((part) => part.text.startsWith('='));
    expect(firsts).toHaveLength(1);
    expect(replay(readTrace(estate.records)).difference).toBeUndefined();
  });
});

describe('a replay', () => {
  const estate = traced(TestKind.Brief);

  it('finds a lamp reading that was changed', () => {
    const again = replay(readTrace(changed(estate, /:f{4} /, ':gfff ')));
    expect(again.difference?.then).toContain('"kind":');
    expect(again.difference?.now).not.toBe(again.difference?.then);
  });

  it('finds inputs that were changed, where the core first decided otherwise', () => {
    const again = replay(readTrace(changed(estate, /(\d+)s\d+(:f{4} )/, '$1s80$2')));
    expect(again.difference).toBeDefined();
  });

  it('says which part is missing', () => {
    const lost = estate.records.filter((text) => !text.includes('"part":8,'));
    expect(() => readTrace(lost)).toThrow(
      new TraceError('Part 9 of the trace is missing among these records.'),
    );
  });

  it('says that there is no trace', () => {
    expect(() => readTrace(estate.records.filter((text) => !text.includes('"trace"')))).toThrow(/no trace/);
  });

  it('refuses a trace from a newer firmware', () => {
    const more = changed(estate, /(=[^ "]*) /, '$11,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1, ');
    expect(() => readTrace(more)).toThrow(/another version of the firmware/);
  });

  it('refuses text that no controller writes', () => {
    expect(() => readTrace(changed(estate, /"text":"(\d)/, '"text":"x$1'))).toThrow(
      /nothing that a controller/,
    );
  });
});

describe('the order to trace', () => {
  it('is refused while a trace is taken, and outside its bounds', () => {
    const estate = new Estate({ slots: [[1, TestKind.Brief, WINDOW.start, WINDOW.end]] });
    estate.run(WINDOW_MS - HOURS(0.5));
    for (const chars of [5999, 24_001, CHARS, CHARS]) {
      estate.order(OrderKind.Trace, chars);
      estate.run(estate.fleet.now + 10_000);
    }
    expect(estate.replies.map((reply) => reply.reason)).toEqual([
      ...[Reason.OutOfBounds, Reason.OutOfBounds, Reason.None, Reason.Busy],
    ]);
  });
});
