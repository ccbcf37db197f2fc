// The numbers for Prometheus as a scrape gets them.
import { afterEach, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { type Metrics, startMetrics } from '../../../host/integrators/metrics';
import { circuitMessages } from '../../../host/integrators/status';
import { HOUSE } from '../house/site';
import { NIGHT, newTestedHouse, PASS } from './house';

let metrics: Metrics | undefined;

afterEach(async () => {
  await metrics?.close();
  metrics = undefined;
});

const scrape = async () => {
  const answer = await fetch(`http://127.0.0.1:${metrics?.port}/metrics`);
  expect(answer.headers.get('content-type')).toMatch(/^text\/plain; version=0\.0\.4/);
  return answer.text();
};

it('are counted from what is told, in the text format 0.0.4, and name only luminaires that failed', async () => {
  const tested = await newTestedHouse();
  metrics = await startMetrics(0);
  const messages = () => ['a', 'b'].map((id) => circuitMessages(HOUSE, tested.house, id, NIGHT + 60));
  const building = metrics.of({ site: HOUSE, simulated: false, now: () => NIGHT + 60 });
  const look = () => building.all(messages());
  const dead = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 0];
  await tested.result('a', TestKind.Full, NIGHT, PASS, dead);
  tested.heard('a', NIGHT + 60);
  look();
  const lines = (await scrape()).split('\n');
  for (const line of [
    '# TYPE nightproof_luminaires gauge',
    'nightproof_luminaires{verdict="pass",site="demo"} 1',
    'nightproof_luminaires{verdict="fail",site="demo"} 1',
    'nightproof_luminaires{verdict="not proven",site="demo"} 1',
    'nightproof_controllers{contact="reporting",site="demo"} 1',
    'nightproof_controllers{contact="never heard",site="demo"} 1',
    'nightproof_luminaire_failed{luminaire="A-02",circuit="a",area="hall",site="demo"} 1',
    `nightproof_counted_timestamp_seconds{site="demo"} ${NIGHT + 60}`,
  ])
    expect(lines).toContain(line);
  expect(lines.filter((line) => line.startsWith('nightproof_luminaire_failed'))).toHaveLength(1);
  await tested.result('a', TestKind.Full, NIGHT + 50, PASS, PASS);
  look();
  expect(await scrape()).not.toContain('nightproof_luminaire_failed{');
});

it('are told of each of several buildings, and go with the building', async () => {
  const tested = await newTestedHouse();
  metrics = await startMetrics(0);
  const messages = ['a', 'b'].map((id) => circuitMessages(HOUSE, tested.house, id, NIGHT));
  const [one, other] = ['north', 'south'].map((id) =>
    metrics!.of({ site: { ...HOUSE, id }, simulated: false, now: () => NIGHT }),
  );
  one.all(messages);
  other.all(messages);
  const both = await scrape();
  for (const site of ['north', 'south'])
    expect(both).toContain(`nightproof_controllers{contact="never heard",site="${site}"} 2`);
  expect(both.match(/# TYPE nightproof_controllers /g)).toHaveLength(1);
  one.leave();
  const left = await scrape();
  expect(left).not.toContain('site="north"');
  expect(left).toContain('site="south"');
});

it('say so in one sentence when their port is taken', async () => {
  metrics = await startMetrics(0);
  const again = startMetrics(metrics.port);
  await expect(again).rejects.toThrow(
    /^The metrics cannot be served on .*another program is using it; [^\n]*$/,
  );
});
