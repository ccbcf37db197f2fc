// What people in the building must know while batteries are not full: where, until when, and what to do if
// the power fails. A pure function of the controllers' last states and the tests of the night.

import type { ControllerStatus, RiskEntry, RiskNotice, RiskUnknown, TonightTest } from '../../api/views';
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

/** Where it is, and for a controller no longer heard the time its report is from. */
function whereWords({ site }: RiskInput, status: ControllerStatus, areas: string[]): string {
  const where = `${areas.join(', ')} (circuit ${status.circuit})`;
  if (status.contact !== 'silent') return where;
  return `${where}, when last heard on ${momentWord(status.heardAt, site.timeZone)}`;
}

/** What a circuit is doing, by its last report; undefined if its batteries are full as far as that says. */
function present(input: RiskInput, status: ControllerStatus): RiskEntry | undefined {
  const { site, now } = input;
  const { circuit, kind } = status;
  const areas = areaNames(site, circuit);
  const common = { circuit, areas, from: 0 };
  const where = whereWords(input, status, areas);
  const isSilent = status.contact === 'silent';
  const full = (utcSec: number): string => `batteries full again on ${momentWord(utcSec, site.timeZone)}`;
  if (kind !== '') {
    const since = status.since === 0 ? (isSilent ? status.heardAt : now) : status.since;
    const end = since + status.length + input.lengthsOf(circuit, kind).rechargeSec;
    // Nobody has seen whether a silent circuit ended its test and recharged.
    const until = isSilent && end <= now ? 0 : end;
    const ending = until > 0 ? full(until) : 'not known when the batteries will be full';
    const sentence = `${where}: on battery${isSilent ? '' : ' now'} in a ${kindName(kind)}, ${ending}.`;
    return { ...common, state: 'discharging', until, sentence };
  }
  if (status.relayOpen === true || status.supplyAfter === false) {
    const sentence = `${where}: no supply${isSilent ? '' : ' now'}; not yet known when the batteries will be full.`;
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

/** Why nothing is known of a circuit's batteries now; undefined if its last report still says something. */
function unknown(input: RiskInput, status: ControllerStatus): RiskUnknown | undefined {
  const { site } = input;
  const { circuit, contact, heardAt, recordAt } = status;
  const areas = areaNames(site, circuit);
  const where = `${areas.join(', ')} (circuit ${circuit})`;
  const told = (why: string): RiskUnknown => ({
    ...{ circuit, areas, heardAt },
    sentence: `${where}: not known whether the batteries are full; ${why}.`,
  });
  if (contact === 'never heard' && recordAt > 0)
    return told('its controller has not been heard since this host started');
  if (contact === 'never heard') return told('its controller has never reported');
  if (contact === 'silent') return told(`nothing heard since ${momentWord(heardAt, site.timeZone)}`);
  return status.phase === 'starting' ? told('its controller has just started') : undefined;
}

/** Names of the areas that luminaires light of which no test has shown of late that they work. */
function unprovenAreas({ site, controllers }: RiskInput): string[] {
  const circuits = new Map(site.circuits.map(({ id, luminaires }) => [id, luminaires]));
  const lit = new Set<string>();
  for (const { circuit, unproven } of controllers) {
    if (unproven.length === 0) continue;
    const ids = new Set(unproven.map(({ luminaire }) => luminaire));
    for (const { id, area, serves } of circuits.get(circuit) ?? [])
      if (ids.has('') || ids.has(id)) for (const one of [area, ...serves]) lit.add(one);
  }
  return site.areas.filter(({ id }) => lit.has(id)).map(({ name }) => name);
}

/** The notice at this moment; without entries if nothing is known to discharge or recharge, or soon will. */
export function riskNotice(input: RiskInput): RiskNotice {
  const heard = input.controllers.filter(
    ({ contact, phase }) => contact !== 'never heard' && phase !== 'starting',
  );
  const now = heard.flatMap((status) => present(input, status) ?? []);
  const ahead = input.tonight.flatMap((test) => planned(input, test) ?? []);
  const entries = [...now, ...ahead];
  const areas = [...new Set(entries.flatMap((entry) => entry.areas))];
  const dark = input.controllers.flatMap((status) => unknown(input, status) ?? []);
  return {
    at: input.now,
    entries,
    unknown: dark,
    unproven: unprovenAreas(input),
    known: input.controllers.length - dark.length,
    ifPowerFails: entries.length === 0 ? '' : powerFailureIn(input.site, areas),
  };
}
