// That no alarm is lost on the way to anybody: wrong addresses, refusing mail servers, clocks and sites that change.
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { type AlertMessage, alertMessage } from '../../../host/integrators/alerts/alarms';
import { startAlerts } from '../../../host/integrators/alerts/alerts';
import { newPost } from '../../../host/integrators/alerts/mail';
import { newQueue } from '../../../host/integrators/alerts/queue';
import { signedHeaders } from '../../../host/integrators/alerts/webhook';
import { circuitMessages } from '../../../host/integrators/status';
import { newMemory } from '../house/bench';
import { HOUSE } from '../house/site';
import { DAY, NIGHT, newTestedHouse, PASS } from './house';
import { mailServer, mailTo, receiver, type Stage, telling } from './told';

const DEAD = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 0];
/** UTC second in 2099. */
const LATE = Date.UTC(2099, 0, 1) / 1000;

let stage: Stage;

beforeEach(() => {
  stage = { ends: [], problems: [] };
});
afterEach(async () => {
  for (const end of stage.ends.reverse()) await end();
});

const said = (part: string) => stage.problems.filter((one) => one.includes(part));

describe('an address', () => {
  it('that is corrected gets what waited for the wrong one, and one line says so', async () => {
    const [wrong, right] = [await receiver(stage, 0, 404), await receiver(stage)];
    const house = await telling(stage, { webhooks: [{ url: `${wrong.url}/secret-key` }] });
    await house.result('a', TestKind.Brief, NIGHT + 60, PASS, DEAD);
    house.look(NIGHT + 200);
    await expect.poll(() => said('it answered 404').length).toBeGreaterThan(0);
    house.restart({ settings: { webhooks: [{ url: right.url }] } });
    house.look(NIGHT + 300);
    await expect.poll(right.events).toMatchObject([{ luminaire: 'A-02', state: 'raised' }]);
    expect(said('1 alert that waited for')).toEqual([
      `1 alert that waited for webhook 1 at ${wrong.url}, which is no longer told, ` +
        `now goes to webhook 1 at ${right.url}.`,
    ]);
    await expect.poll(house.waiting).toBe(0);
    house.restart();
    expect(said('that waited for').length).toBe(1);
    expect(stage.problems.join()).not.toContain('secret-key');
  });

  it('that differs from another only in its query is told by itself', async () => {
    const hook = await receiver(stage);
    const webhooks = ['a', 'b'].map((key) => ({ url: `${hook.url}/?key=${key}` }));
    const house = await telling(stage, { webhooks });
    await house.result('a', TestKind.Brief, NIGHT + 60, PASS, DEAD);
    house.look(NIGHT + 200);
    await expect.poll(house.waiting).toBe(0);
    house.restart();
    await house.result('a', TestKind.Brief, NIGHT + DAY, PASS, PASS);
    house.look(NIGHT + DAY);
    await expect
      .poll(() => hook.got.map(({ path }) => path).sort())
      .toEqual([...['/?key=a', '/?key=a', '/?key=b', '/?key=b']]);
  });
});

it('takes no line of its own into the head of a mail from a name', async () => {
  const asked: string[] = [];
  const mail = await mailServer(stage, (to) => {
    asked.push(to);
    return undefined;
  });
  const { to, ...from } = mailTo(mail.port)!;
  const evil = 'Hall\r\nBcc: thief@elsewhere.example\r\n\r\n.\r\nMAIL FROM:<thief@elsewhere.example>\r\n';
  await newPost(from).send(to[0], { subject: evil, text: `${evil}\r\n.\r\n${evil}` }, evil);
  expect(asked).toEqual([to[0]]);
  expect(mail.mails.length).toBe(1);
  const [head, ...body] = mail.mails[0].split('\r\n\r\n');
  expect(head).not.toMatch(/^(Bcc|MAIL FROM):/im);
  expect(head).toMatch(/^Subject: /m);
  expect(body.join()).toContain('MAIL FROM');
});

describe('a mail server that takes a mail for some only', () => {
  const [GOOD, BUSY, GONE] = ['good@museum.example', 'busy@museum.example', 'gone@museum.example'];
  const RIGHT = 'right@museum.example';
  async function refusing() {
    const asked: string[] = [];
    const mail = await mailServer(stage, (to) => {
      asked.push(to);
      if (to === BUSY && asked.filter((one) => one === BUSY).length < 3) return [450, 'come back later'];
      return to === GONE ? [550, 'no such mailbox'] : undefined;
    });
    const to = (address: string) => mail.mails.filter((text) => text.includes(`To: ${address}`));
    return { ...mail, asked, to };
  }

  it('gets it again for the others, who is refused for good is said once, and nothing is lost', async () => {
    const mail = await refusing();
    const house = await telling(stage, { mail: mailTo(mail.port, GOOD, BUSY, GONE)!, webhooks: [] });
    await house.result('a', TestKind.Brief, NIGHT + 60, PASS, DEAD);
    house.look(NIGHT + 200);
    await expect.poll(() => mail.to(BUSY).length).toBe(1);
    await expect.poll(() => mail.to(GOOD).length).toBe(1);
    expect(said('450').length).toBe(2);
    expect(said('550')).toEqual([
      expect.stringMatching(/^An alert could not be sent to gone@museum\.example \(.*1 waits? until/),
    ]);
    await expect.poll(house.waiting).toBe(1);
    house.restart({ settings: { mail: mailTo(mail.port, GOOD, BUSY, RIGHT)!, webhooks: [] } });
    await expect.poll(() => mail.to(RIGHT).length).toBe(1);
    expect([mail.to(GOOD).length, mail.to(BUSY).length]).toEqual([1, 1]);
  });

  it('gets the daily mail again for those it did not take it for', async () => {
    const mail = await refusing();
    const house = await telling(stage, { mail: mailTo(mail.port, GOOD, BUSY, GONE)!, webhooks: [] });
    const seven = Date.UTC(2026, 1, 2, 6, 0) / 1000;
    for (let n = 0; n < 4; n++) {
      house.look(seven + n * 900);
      await expect.poll(() => mail.asked.length).toBe([3, 4, 5, 5][n]);
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
    expect([GOOD, BUSY, GONE].map((address) => mail.to(address).length)).toEqual([1, 1, 0]);
    expect(said(GONE).length).toBe(1);
  });
});

describe('a clock that was in 2099 once', () => {
  it('silences neither alarms nor the daily mail after it', async () => {
    const [hook, mail] = [await receiver(stage), await mailServer(stage)];
    const settings = { mail: mailTo(mail.port)!, webhooks: [{ url: hook.url }] };
    const house = await telling(stage, settings, LATE);
    house.look(LATE + DAY / 2);
    await expect.poll(() => mail.mails.length).toBe(1);
    house.restart({ now: NIGHT });
    house.look(NIGHT);
    await house.result('a', TestKind.Brief, NIGHT + 60, PASS, DEAD);
    house.look(NIGHT + DAY / 2);
    await expect.poll(hook.events).toMatchObject([{ luminaire: 'A-02', state: 'raised' }]);
    await expect.poll(() => mail.mails.filter((text) => text.includes('1 failed')).length).toBe(1);
  });

  it('puts off no alarm that could not be sent then', async () => {
    let now = LATE;
    const tries: number[] = [];
    const queue = newQueue({
      ...{ key: 'x', name: 'x', memory: newMemory(), now: () => now, lookMs: 1, onProblem: () => {} },
      async send() {
        tries.push(now);
        throw new Error('no');
      },
    });
    stage.ends.push(() => queue.stop());
    const alarm = {
      what: 'luminaire failed',
      circuit: 'a',
      luminaire: 'A-01',
      place: '',
      since: '',
    } as const;
    queue.add([{ ...alarm, id: 'x', state: 'raised', at: '', words: '' }]);
    await expect.poll(() => tries.length).toBe(1);
    now = NIGHT;
    await expect.poll(() => tries).toEqual([LATE, NIGHT]);
  });
});

describe('the fast clock of a simulation', () => {
  it('tries neither an alarm nor the daily mail again sooner than a real one', async () => {
    const hook = await receiver(stage, 0, 503);
    const mail = await mailServer(stage, () => [450, 'busy']);
    let now = NIGHT;
    const tested = await newTestedHouse();
    const alerts = startAlerts({
      ...{ site: HOUSE, simulated: true, memory: newMemory(), now: () => now, pace: { lookMs: 1 } },
      settings: { mail: mailTo(mail.port)!, webhooks: [{ url: hook.url }] },
      onProblem: (sentence) => stage.problems.push(sentence),
    });
    stage.ends.push(() => alerts.stop());
    await tested.result('a', TestKind.Brief, NIGHT + 60, PASS, DEAD);
    for (let day = 1; day <= 10; day++) {
      now = NIGHT + day * DAY + DAY / 2;
      const all = HOUSE.circuits.map(({ id }) => circuitMessages(HOUSE, tested.house, id, now));
      for (const one of all) alerts.take(one);
      alerts.all(all);
      await expect.poll(() => stage.problems.length).toBeGreaterThanOrEqual(3);
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    // One webhook, one mail of the alarm, one daily mail: each tried once.
    expect(hook.got.length).toBe(1);
    expect(stage.problems.length).toBe(3);
    expect(said('in a minute').length).toBe(2);
  });

  it('sends the daily mail of every simulated day', async () => {
    const mail = await mailServer(stage);
    let now = NIGHT;
    const tested = await newTestedHouse();
    const alerts = startAlerts({
      ...{ site: HOUSE, simulated: true, memory: newMemory(), now: () => now, pace: { lookMs: 1 } },
      settings: { mail: mailTo(mail.port)!, webhooks: [] },
      onProblem: (sentence) => stage.problems.push(sentence),
    });
    stage.ends.push(() => alerts.stop());
    for (let day = 1; day <= 3; day++) {
      now = NIGHT + day * DAY + DAY / 2;
      // A look that finds the last mail still on its way sends none.
      await expect
        .poll(() => {
          alerts.all(HOUSE.circuits.map(({ id }) => circuitMessages(HOUSE, tested.house, id, now)));
          return mail.mails.length;
        })
        .toBe(day);
    }
  });
});

describe('around the set-up', () => {
  it('a controller that was heard a minute before and then no more is told', async () => {
    const hook = await receiver(stage);
    const house = await telling(stage, { webhooks: [{ url: hook.url }] });
    house.heard('a', NIGHT - 60);
    house.look(NIGHT);
    house.clock.up = 3600;
    house.look(NIGHT + 3600);
    await expect.poll(hook.events).toMatchObject([{ what: 'controller silent', circuit: 'a' }]);
  });

  it('a failed test of the night before whose record comes later is told, and one that was there is not', async () => {
    const hook = await receiver(stage);
    const house = await telling(stage, { webhooks: [{ url: hook.url }] });
    await house.result('a', TestKind.Brief, NIGHT - 2 * DAY, DEAD, PASS);
    house.look(NIGHT);
    await house.result('a', TestKind.Brief, NIGHT - DAY, DEAD, DEAD);
    house.look(NIGHT + 60);
    await expect.poll(hook.events).toMatchObject([{ luminaire: 'A-02', state: 'raised' }]);
    await expect.poll(house.waiting).toBe(0);
    house.restart();
    await house.result('a', TestKind.Brief, NIGHT + DAY, PASS, PASS);
    house.look(NIGHT + DAY);
    await expect.poll(() => hook.events().slice(1)).toMatchObject([{ luminaire: 'A-02', state: 'cleared' }]);
  });
});

describe('a site that has changed', () => {
  async function failing() {
    const hook = await receiver(stage);
    const house = await telling(stage, { webhooks: [{ url: hook.url }] });
    await house.result('a', TestKind.Brief, NIGHT + 60, PASS, DEAD);
    house.look(NIGHT + 200);
    await expect.poll(() => hook.events().length).toBe(1);
    await expect.poll(house.waiting).toBe(0);
    return { hook, house };
  }

  it('clears the alarms of a circuit it no longer has', async () => {
    const { hook, house } = await failing();
    house.restart({ site: { ...HOUSE, circuits: HOUSE.circuits.filter(({ id }) => id !== 'a') } });
    const words = 'The site file has no circuit a any more.';
    await expect
      .poll(() => hook.events().slice(1))
      .toMatchObject([{ luminaire: 'A-02', circuit: 'a', state: 'cleared', words }]);
  });

  it('tells nothing again when only its time zone is another', async () => {
    const { hook, house } = await failing();
    house.restart({ site: { ...HOUSE, timeZone: 'Europe/Lisbon' } });
    house.look(NIGHT + 300);
    await house.result('a', TestKind.Brief, NIGHT + DAY, PASS, PASS);
    house.look(NIGHT + DAY);
    await expect.poll(() => hook.events().map(({ state }) => state)).toEqual(['raised', 'cleared']);
  });
});

describe('a sign of life', () => {
  /** Looks at an instant, again and again as a host does: the answer to the sign before may still be on its way. */
  const lookUntil = (house: Awaited<ReturnType<typeof telling>>, at: number, count: () => number) =>
    expect.poll(() => {
      house.look(at);
      return count();
    });
  const alive = (hook: Awaited<ReturnType<typeof receiver>>) =>
    hook.got.map(({ body }) => JSON.parse(body) as AlertMessage).filter(({ events }) => events.length === 0);

  it('comes at once and every hour, signed and by the schema, to the webhook that asks for it alone', async () => {
    const [asking, other] = [await receiver(stage), await receiver(stage)];
    const house = await telling(stage, {
      webhooks: [{ url: asking.url, secret: 'hush', signOfLife: 'hourly' }, { url: other.url }],
    });
    house.look(NIGHT);
    await expect.poll(() => alive(asking).length).toBe(1);
    house.look(NIGHT + 3599);
    await lookUntil(house, NIGHT + 3601, () => alive(asking).length).toBe(2);
    await house.result('a', TestKind.Brief, NIGHT + 3660, PASS, DEAD);
    house.look(NIGHT + 3700);
    await expect.poll(other.events).toMatchObject([{ luminaire: 'A-02' }]);
    await expect.poll(() => asking.got.length).toBe(3);
    expect([alive(asking).length, alive(other).length]).toEqual([2, 0]);
    const [{ body, headers }] = asking.got;
    const { 'webhook-id': id, 'webhook-timestamp': at, 'webhook-signature': mac } = headers;
    expect(id).toMatch(/^sign of life\|demo\|\d+$/);
    expect(mac).toBe(signedHeaders(body, String(id), Number(at), 'hush')['webhook-signature']);
    expect(alertMessage.parse(JSON.parse(body))).toEqual(JSON.parse(body));
  });

  it('that does not arrive is said once, comes again after a minute, and after the clock was put back too', async () => {
    const down = await receiver(stage, 0, 503);
    const house = await telling(stage, { webhooks: [{ url: down.url, signOfLife: 'daily' }] });
    house.look(LATE);
    await expect.poll(() => stage.problems.length).toBe(1);
    house.look(LATE + 61);
    await expect.poll(() => down.got.length).toBe(2);
    await down.close();
    const up = await receiver(stage, down.port);
    // The answer to the second may still be on its way.
    let at = LATE + 61;
    await expect
      .poll(() => {
        at += 61;
        house.look(at);
        return alive(up).length;
      })
      .toBe(1);
    house.look(at + 3600);
    await lookUntil(house, NIGHT, () => alive(up).length).toBe(2);
    expect(stage.problems).toEqual([
      `The sign of life could not be sent to webhook 1 at ${down.url} (it answered 503); it is tried again every minute.`,
    ]);
  });
});
