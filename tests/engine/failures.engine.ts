// More failures in the middle of a test on the real interpreter than tests/engine/quick/failures.test.ts has.
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { Failing, type Harm } from './failing';

/** An interrupt that by chance meets a turn is tried again. */
const TRIES = 5;

const failing = new Failing();
beforeAll(() => failing.setUp());
beforeEach(() => failing.begin());
afterAll(() => failing.rig.close());

describe('pulses stop, the watchdog resets the board, and the test is void', () => {
  it.each<Harm>([
    ['memory runs out in a turn', 'rig.harm=function(){var a=[];for(;;)a.push(99999)};', /MEMORY/],
    ['the clock throws', 'rig.late=function(){throw new Error("bench")};', /bench/],
  ])('when %s', async (_what, statement, complaint) => {
    await failing.provoke(statement);
    await failing.stops(complaint);
  });

  it('when the console interrupts a turn', async () => {
    // Without the interrupt the turn would end, and the pulses go on.
    await failing.provoke('rig.harm=function(){print("\\x02harm");for(var i=0;i<3000000;i++);};');
    await failing.hardware.heard('harm');
    failing.rig.board.type('\x03');
    await failing.stops(/^/);
  });
});

describe('the test continues, and a power cut after it makes it void', () => {
  const thrower = 'rig.late=function(){rig.late=undefined;throw new Error("bench")};';
  it.each([
    ['an exception in the callback of an opened connection', `${thrower}rig.open();`],
    ['an exception in the callback of a closed connection', `${thrower}rig.close(false);`],
    ['an exception that nobody catches', 'throw new Error("bench");'],
  ])('after %s', async (_what, statement) => {
    await failing.provoke(`setTimeout(function(){${statement}},1)`);
    await failing.continues(/bench/);
  });

  it('after the console interrupts between two turns', async () => {
    for (let tries = 1; tries < TRIES && (await failing.interrupts()); tries++) await failing.begin();
    expect(failing.rig.board.complaints).toEqual([]);
    await failing.continues(/^$/);
  });
});
