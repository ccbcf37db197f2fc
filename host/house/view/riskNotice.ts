// What people in the building must know while batteries are not full: where, until when, and what to do if
// the power fails. A pure function of the controllers' last states and the tests of the night.

import type { ControllerStatus, RiskEntry, RiskNotice, TonightTest } from '../../api/views';
import { areaNames } from '../../calendar/areas';
import { powerFailureIn } from '../../calendar/powerFailure';
import type { Site } from '../../site/model';
import { kindName } from '../../words/codes';
import { momentWord } from '../../words/when';

export interface RiskInput {
  site: Site;
  controllers: ControllerStatus[];
  tonight: TonightTest[];
  /** UTC second. */
  now: number;
  /** Length of a circuit's test of a kind, and of the recharge after it, s. */
  lengthsOf(circuit: string, kind: TonightTest['kind']): { testSec: number; rechargeSec: number };
}

const DAY_SEC = 86400;

/** What a circuit is doing now; undefined if its batteries are full as far as is known. */
function present(input: RiskInput, status: ControllerStatus): RiskEntry | undefined {
  const { site, now } = input;
  const { circuit, kind } = status;
  const areas = areaNames(site, circuit);
  const common = { circuit, areas, from: 0 };
  const where = `${areas.join(', ')} (circuit ${circuit})`;
  const full = (utcSec: number): string => `batteries full again on ${momentWord(utcSec, site.timeZone)}`;
  if (kind !== '') {
    const since = status.since === 0 ? now : status.since;
    const until = since + status.length + input.lengthsOf(circuit, kind).rechargeSec;
    const sentence = `${where}: on battery now in a ${kindName(kind)}, ${full(until)}.`;
    return { ...common, state: 'discharging', until, sentence };
  }
  if (status.relayOpen || !status.supplyAfter) {
    const sentence = `${where}: no supply now; not yet known when the batteries will be full.`;
    return { ...common, state: 'discharging', until: 0, sentence };
  }
  if (status.charged <= now && status.phase !== 'recharging') return undefined;
  const ending = status.charged > now ? full(status.charged) : 'end not yet known';
  const until = status.charged > now ? status.charged : 0;
  return { ...common, state: 'recharging', until, sentence: `${where}: batteries recharging, ${ending}.` };
}

/** The effect of a test tonight; undefined if it is over, or more than a day away. */
function planned(input: RiskInput, test: TonightTest): RiskEntry | undefined {
  const { site, now } = input;
  const { circuit, kind } = test;
  if (test.state !== 'due' || test.start > now + DAY_SEC) return undefined;
  const { testSec, rechargeSec } = input.lengthsOf(circuit, kind);
  const from = Math.max(now, test.start);
  const until = from + testSec + rechargeSec;
  const areas = areaNames(site, circuit);
  const sentence =
    `${areas.join(', ')} (circuit ${circuit}): ${kindName(kind)} planned for ${momentWord(from, site.timeZone)}, ` +
    `batteries full again on ${momentWord(until, site.timeZone)}.`;
  return { circuit, areas, state: 'planned', from, until, sentence };
}

/** True if a controller's last report still says something about its batteries now. */
function isKnown(status: ControllerStatus): boolean {
  return status.phase !== 'starting' && (status.contact === 'reporting' || status.contact === 'late');
}

/** The notice at this moment; without entries if nothing is or will soon be discharging or recharging. */
export function riskNotice(input: RiskInput): RiskNotice {
  const heard = input.controllers.filter(
    ({ contact, phase }) => contact !== 'never heard' && phase !== 'starting',
  );
  const now = heard.flatMap((status) => present(input, status) ?? []);
  const ahead = input.tonight.flatMap((test) => planned(input, test) ?? []);
  const entries = [...now, ...ahead];
  const areas = [...new Set(entries.flatMap((entry) => entry.areas))];
  return {
    at: input.now,
    entries,
    unknown: input.controllers.filter((status) => !isKnown(status)).map(({ circuit }) => circuit),
    ifPowerFails: entries.length === 0 ? '' : powerFailureIn(input.site, areas),
  };
}
