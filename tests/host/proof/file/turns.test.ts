import { expect, it } from 'vitest';
import { takingTurns } from '../../../../host/proof/file/turns';

it('lets others have a turn once a piece of work has taken long enough', async () => {
  let now = 0;
  const turns = takingTurns(() => now);
  const calls = async (count: number): Promise<number> => {
    let taken = 0;
    for (let i = 0; i < count; i++) {
      const others = turns();
      if (!others) continue;
      taken++;
      let hadTurn = false;
      setTimeout(() => {
        hadTurn = true;
      });
      await others;
      await new Promise((resolve) => setTimeout(resolve));
      expect(hadTurn).toBe(true);
    }
    return taken;
  };
  expect(await calls(1000)).toBe(0);
  now = 60;
  expect(await calls(1000)).toBe(1);
});
