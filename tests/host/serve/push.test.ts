// What open pages are told without asking.
import sinon from 'sinon';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { Phase } from '../../../firmware/contract/codes';
import type { StateMessage } from '../../../firmware/contract/messages';
import type { ControllerStatus } from '../../../host/api/views';
import { startPush } from '../../../host/serve/push';
import { type EventHub, newEventHub } from '../../../host/server/events';
import { newBench } from '../house/bench';

const STATE: StateMessage = {
  ...{ v: 1, journal: 'j', boot: 1, up: 1, utc: 1, clock: 2, phase: Phase.Charged, reason: 0, waiting: 0 },
  ...{ bits: 3, test: 0, type: 0, since: 0, charged: 0, last: 0, acked: 0, settings: 1, plan: 4, overdue: 0 },
  refused: 0,
};
const NOW = 1_770_000_000;

let clock: sinon.SinonFakeTimers;
let hub: EventHub;
beforeEach(() => {
  clock = sinon.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] });
  hub = newEventHub();
});
afterEach(() => {
  hub.close();
  clock.restore();
});

function watched() {
  let now = NOW;
  const bench = newBench({ upSec: () => now });
  const asked: string[] = [];
  const view = {
    contacts: () => bench.view.contacts(),
    controller(circuit: string, at: number): ControllerStatus {
      asked.push(circuit);
      return bench.view.controller(circuit, at);
    },
  };
  const circuits = bench.view.contacts().map(({ circuit }) => circuit);
  const push = startPush({
    ...{ hub, view, circuits, now: () => now, speed: () => 1 },
    onProblem(sentence) {
      throw new Error(sentence);
    },
  });
  return {
    ...{ asked, view, push },
    report(): void {
      bench.state('a', STATE, now);
      push.status('a');
    },
    wait(sec: number): number {
      now += sec;
      return now;
    },
  };
}

it('tells of a controller that falls silent, and computes no status while nothing changes', async () => {
  const { asked, view, push, report, wait } = watched();
  hub.open({ now: NOW, speed: 1 });
  report();
  clock.tick(1100);
  expect(asked).toContain('a');
  asked.length = 0;
  clock.tick(10_000);
  expect(asked).toEqual([]);
  const now = wait(86_400);
  clock.tick(1100);
  expect(asked).toEqual(['a']);
  expect(view.controller('a', now).contact).toBe('silent');
  push.stop();
});

it('tells of another pace at once, and otherwise of the time every second', () => {
  let speed = 240;
  const bench = newBench({ upSec: () => NOW });
  const told: unknown[] = [];
  const counting = {
    ...hub,
    send: (name: string, payload: unknown) => name === 'clock' && told.push(payload),
  };
  const push = startPush({
    ...{ hub: counting as EventHub, view: bench.view, circuits: [], now: () => NOW, speed: () => speed },
    onProblem(sentence) {
      throw new Error(sentence);
    },
  });
  clock.tick(1000);
  expect(told).toEqual([{ now: NOW, speed: 240 }]);
  speed = 8;
  clock.tick(100);
  expect(told).toHaveLength(2);
  expect(told[1]).toEqual({ now: NOW, speed: 8 });
  clock.tick(800);
  expect(told).toHaveLength(2);
  push.stop();
});

it('computes no status while no page is open, and tells one that opens of what comes then', async () => {
  const { asked, push, report } = watched();
  report();
  clock.tick(1100);
  expect(asked).toEqual([]);
  hub.open({ now: NOW, speed: 1 });
  clock.tick(1100);
  expect(asked).toEqual([]);
  report();
  clock.tick(1100);
  expect(asked).toEqual(['a']);
  push.stop();
});
