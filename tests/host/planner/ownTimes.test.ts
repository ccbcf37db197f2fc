// What the planner gives neighbours, a controller takes for its own: the settings and slots of sites with shared
// nights, before the core's own rule.
import { expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { notOwnReason } from '../../../firmware/core/schedule';
import { takeSettings } from '../../../firmware/core/settings';
import { newCore } from '../../../firmware/core/state';
import { makePlan } from '../../../host/planner/planner';
import { profileFor } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import { circuitSettings, testSecOf } from '../../../host/site/settings';
import { hardSite, SEVEN, THIRTY } from './hardSites';

const FROM = utcOfLocal('UTC', '2026-01-05T12:00');
/** A clock as far off as one may be that was set within the day, s. */
const ERROR_SEC = 20;

it.each(
  [...SEVEN, ...THIRTY].filter(({ name }) => /^(16 mutual|4 neighbours|8 neighbours|ring of 5$)/.test(name)),
)('are accepted by each controller from the first second of a slot to the last: $name', (hard) => {
  const site = hardSite(hard);
  const profile = profileFor(site);
  const plan = makePlan(site, profile, FROM, 365);
  let inShared = 0;
  for (const circuit of site.circuits) {
    const share = plan.circuits.find((own) => own.circuit === circuit.id)!;
    const core = newCore(1);
    expect(takeSettings(core.set, circuitSettings(site, circuit, share, profile, 1))).toBe(true);
    for (const { kind, start, end } of share.slots) {
      const rule = kind === TestKind.Brief ? profile.brief : profile.full;
      const length = testSecOf(circuit, kind, profile) + Limit.OpenGraceSec;
      for (const at of [start + ERROR_SEC, end - length - ERROR_SEC]) {
        const reason = notOwnReason(core, kind, at, at + length + rule.rechargeSec.value, ERROR_SEC);
        expect({ circuit: circuit.id, kind, at, reason }).toMatchObject({ reason: Reason.None });
      }
      if (share.sharedCycle && kind === TestKind.Brief) inShared++;
    }
  }
  expect(inShared > 0).toBe(!hard.name.startsWith('ring'));
});
