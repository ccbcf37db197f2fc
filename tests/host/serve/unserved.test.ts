// A building that is not served, told to a real SMTP server and a real HTTP receiver.
import { afterEach, beforeEach, expect, it } from 'vitest';
import { type AlertMessage, alertMessage } from '../../../host/integrators/alerts/alarms';
import { watchUnserved } from '../../../host/serve/unserved';
import { NIGHT } from '../integrators/house';
import { mailServer, mailTo, receiver, type Stage } from '../integrators/told';

let stage: Stage;
/** Takes a sentence for the stage on which it is made: one said late is none of the next test's. */
const problemsOf =
  ({ problems }: Stage) =>
  (sentence: string) =>
    void problems.push(sentence);

beforeEach(() => {
  stage = { ends: [], problems: [] };
});
afterEach(async () => {
  for (const end of stage.ends.reverse()) await end();
});

it('is told by mail and webhook after a while, and again when it is over; a restart is not', async () => {
  const [mail, hook] = [await mailServer(stage), await receiver(stage)];
  const sites = ['east', 'west'].map((id) => ({ id, name: `The ${id}`, timeZone: 'UTC' }));
  let now = NIGHT;
  const trouble = ['It is being started.', 'The log book west.db is damaged.'];
  const stop = watchUnserved({
    settings: { mail: mailTo(mail.port)!, webhooks: [{ url: `http://127.0.0.1:${hook.port}` }] },
    buildings: () => sites.map((site, n) => ({ key: site.id, site, trouble: trouble[n] })),
    ...{ now: () => now, onProblem: problemsOf(stage), lookMs: 10 },
  });
  stage.ends.push(stop);
  const looks = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 100));
  await looks();
  now += 60;
  trouble[0] = '';
  await looks();
  now += 60;
  await expect.poll(() => [hook.got.length, mail.mails.length]).toEqual([1, 1]);
  const message = JSON.parse(hook.got[0].body) as AlertMessage;
  expect(alertMessage.parse(message)).toEqual(message);
  expect(message).toMatchObject({
    building: 'west',
    events: [{ what: 'building not served', state: 'raised', circuit: '', luminaire: null }],
  });
  expect(message.events[0].words).toContain('The log book west.db is damaged.');
  expect(mail.mails[0]).toMatch(
    /Subject: Emergency lighting, The west: building not served: the whole\s+building\r/,
  );
  trouble[1] = '';
  await expect.poll(() => [hook.got.length, mail.mails.length]).toEqual([2, 2]);
  expect(JSON.parse(hook.got[1].body).events).toMatchObject([{ state: 'cleared' }]);
  expect(stage.problems).toEqual([]);
});

it('looks again after a look that went wrong, and tells what lasts once', async () => {
  let looks = 0;
  const stop = watchUnserved({
    settings: { webhooks: [] },
    buildings() {
      looks++;
      if (looks <= 3 || looks === 5) throw new Error('The buildings cannot be counted.');
      return [];
    },
    ...{ now: () => NIGHT, onProblem: problemsOf(stage), lookMs: 10 },
  });
  stage.ends.push(stop);
  await expect.poll(() => looks).toBeGreaterThan(5);
  expect(stage.problems).toEqual(Array(2).fill('The buildings cannot be counted.'));
});
