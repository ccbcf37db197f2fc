import { expect, it } from 'vitest';
import { createFollower } from '../../../host/serve/follow';

it('tells once that the log book cannot be read, and once that it can again', async () => {
  const said: string[] = [];
  let isAway = true;
  const follower = createFollower({
    house: { past: { entry: () => 0 }, apply: () => false } as never,
    logbook: {
      async after() {
        if (isAway) throw new Error('The database does not answer.');
        return [];
      },
    },
    onApplied() {},
    onProblem: (why) => said.push(why),
  });
  for (let n = 0; n < 3; n++) await follower.catchUp();
  expect(said).toEqual(['The database does not answer.']);
  isAway = false;
  for (let n = 0; n < 2; n++) await follower.catchUp();
  expect(said.slice(1)).toEqual(['The log book can be read again.']);
});
