import { expect, it } from 'vitest';
import type { StateMessage } from '../../../firmware/contract/messages';
import { createHouse } from '../../../host/house/house';
import { newHeardList } from '../../../host/serve/heard';
import { newMemory } from '../house/bench';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';

const A = 'demo/a';
const HOUR = 3600;
const DAY = 24 * HOUR;

/** A host's two clocks: the civil one is set by people, the other only rises, and starts anew with the host. */
function newClocks() {
  const clocks = { civilSec: 1770000000, upSec: 50 };
  return {
    clock: { nowMs: () => clocks.civilSec * 1000, upMs: () => clocks.upSec * 1000 },
    clocks,
    pass(sec: number) {
      clocks.civilSec += sec;
      clocks.upSec += sec;
    },
  };
}

function newHost() {
  const time = newClocks();
  const memory = newMemory();
  const start = () => {
    const heard = newHeardList(memory, time.clock);
    const house = createHouse({
      ...{ site: HOUSE, keys: KEYS, memory, heartbeatSec: 60, simulated: false },
      ...{ slackSec: () => 5, upSec: () => time.clocks.upSec },
    });
    const take = (text: string, retained: boolean, stateUtc: number) => {
      const { at, up } = heard.note(A, { text, retained, stateUtc });
      house.apply({ kind: 'state', circuit: 'a', state: {} as StateMessage, heardAt: at, heardUp: up });
    };
    // What was stored comes back by the way of every state, as a retained one.
    heard.replay({
      accept(_topic, payload) {
        take(payload.toString(), true, Number(payload));
        return 'state';
      },
    });
    return {
      report: () => take(`${time.clocks.civilSec}`, false, time.clocks.civilSec),
      contact: () => house.view.controller('a', time.clocks.civilSec).contact,
      sentence: () => house.view.controller('a', time.clocks.civilSec).sentence,
      save: () => heard.save(),
      kept: (stateUtc: number) => take(`${stateUtc}`, true, stateUtc),
    };
  };
  return { ...time, start };
}

it('calls a dead controller silent after ten heartbeats although the clock was put back by a day', () => {
  const { start, pass, clocks } = newHost();
  const host = start();
  host.report();
  clocks.civilSec -= DAY;
  expect(host.contact()).toBe('reporting');
  pass(200);
  expect(host.contact()).toBe('late');
  pass(HOUR);
  expect(host.contact()).toBe('silent');
  expect(host.sentence()).toMatch(/^Nothing heard for 63 min/);
});

it('calls a living controller silent no sooner because the clock was put forward', () => {
  const { start, pass, clocks } = newHost();
  const host = start();
  host.report();
  clocks.civilSec += DAY;
  pass(30);
  expect(host.contact()).toBe('reporting');
});

it('remembers a silence across a restart, whatever became of the clock meanwhile', () => {
  for (const shift of [0, -DAY, DAY]) {
    const { start, pass, clocks } = newHost();
    const host = start();
    host.report();
    pass(3 * HOUR);
    host.save();
    clocks.civilSec += shift;
    clocks.upSec = 1;
    expect(start().contact()).toBe('silent');
  }
});

it('does not take what a broker kept of a dead controller for news', () => {
  const { start, pass, clocks } = newHost();
  const host = start();
  host.report();
  const made = clocks.civilSec;
  pass(3 * HOUR);
  clocks.civilSec -= DAY;
  host.kept(made);
  expect(host.contact()).toBe('silent');
});
