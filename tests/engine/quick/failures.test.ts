// What no program can catch, provoked on the real interpreter in the middle of a test. More of it is in
// tests/engine/failures.engine.ts.
import { afterAll, beforeAll, beforeEach, describe, it } from 'vitest';
import { Failing, type Harm } from '../failing';
import { hasInterpreter } from '../present';

describe.skipIf(!hasInterpreter)('in the middle of a test on the real interpreter', () => {
  let failing: Failing;
  beforeAll(async () => {
    failing = new Failing();
    await failing.setUp();
  });
  beforeEach(() => failing.begin());
  afterAll(() => failing?.rig.close());

  it.each<Harm>([
    [
      'memory runs out and stays full',
      'rig.harm=function(){rig.full=[];for(;;)rig.full.push(99999)};',
      /MEMORY/,
    ],
    [
      'the stack overflows',
      // Nested brackets use only the stack: nested calls would use up the variables first.
      'rig.harm=function(){var s="";while(s.length<9000)s+="((((((((((";eval(s)};',
      /Interrupted|STACK/,
    ],
    ['every turn throws', 'rig.harm=function(){throw new Error("bench")};', /^$/],
    ['a turn never ends', 'rig.harm=function(){for(;;);};', /^$/],
  ])(
    'pulses stop, the watchdog resets the board, and the test is void when %s',
    async (_what, statement, complaint) => {
      await failing.provoke(statement);
      await failing.stops(complaint);
    },
  );

  it('it continues after an exception in the callback of data, and a power cut makes it void', async () => {
    await failing.provoke(
      'setTimeout(function(){rig.late=function(){rig.late=undefined;throw new Error("bench")};rig.data(atob("0AA="));},1)',
    );
    await failing.continues(/bench/);
  });
});
