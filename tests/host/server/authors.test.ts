// In whose name an inspection is entered.
import { Hono } from 'hono';
import { expect, it } from 'vitest';
import { FORMS } from '../../../host/duties/forms';
import { noteView } from '../../../host/house/notes/noteView';
import { dutyRoutes } from '../../../host/server/dutyRoutes';
import { NIGHT, newTestedHouse } from '../integrators/house';

const ZOE = { id: 'zoe', name: 'Zoë Łuk', role: 'electrician' } as const;

it('is the name of who is signed in, whatever the form says; another name in it stays as words', async () => {
  const { house, entering, logbook, site } = await newTestedHouse();
  const app = new Hono();
  const session = { hash: '', account: 'zoe', began: 0, used: 0, proved: 0 };
  app.use(async (c, next) => {
    c.set('guest', { person: ZOE, grants: { role: ZOE.role }, session });
    await next();
  });
  app.route('/', dutyRoutes({ site, past: house.past, entering, now: () => NIGHT }));
  const points = FORMS.walk.points.map(({ id: point }) => ({
    ...{ point, mark: 'in order', luminaires: [], words: '' },
  }));
  const form = { duty: 'walk', who: 'Ada Vail', done: NIGHT, scope: 'site', points, words: '' };
  const send = async (more: object) => {
    const headers = { 'content-type': 'application/json' };
    const body = JSON.stringify({ ...form, ...more });
    const answer = await app.request('/inspections', { method: 'POST', headers, body });
    expect(await answer.json()).toMatchObject({ ok: true });
    const [entry] = await logbook.page({ kind: 'inspection', limit: 1 });
    return { ...(JSON.parse(entry.body) as object), text: noteView(entry, '*', site.timeZone).text };
  };
  expect(await send({ id: 'waited-since-before' })).toMatchObject({
    ...{ who: 'Zoë Łuk', account: 'zoe', writtenAs: 'Ada Vail' },
    text: expect.stringMatching(/^Zoë Łuk did .* Written on the device as "Ada Vail"\. Signed in as zoe\.$/),
  });
  const own = await send({ id: 'filled-in-by-zoe', account: 'zoe' });
  expect(own).toMatchObject({ who: 'Zoë Łuk', writtenAs: 'Ada Vail' });
  expect(await send({ id: 'under-the-own-name', who: 'Zoë Łuk' })).not.toHaveProperty('writtenAs');
});
