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

it('tells of a controller that falls silent, and computes no status while nothing changes', async () => {
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
  bench.state('a', STATE, now);
  clock.tick(1100);
  asked.length = 0;
  clock.tick(10_000);
  expect(asked).toEqual([]);
  now += 86_400;
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
