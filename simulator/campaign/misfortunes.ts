// What happens to the host in a run with a real one: its process is killed, its power is cut, its disk fails or
// is full, its log book is lost and an older backup restored. Each has its own instant; on the disk it strikes
// after so many calls from then, wherever the host is in its work by that time.
import { fork, type Random } from '../random';
import { chance, pick, spread, whole } from './draw';
import { CALM_END_MS, Draft, type Incident } from './incidents';
import { type CampaignSite, DAY_MS, mix } from './site';

/**
 * killed: SIGKILL before a call to the disk; killed answering: right after an acknowledgement; power cut: SIGKILL,
 * and of what was not synced each sector may be lost; torn write: the same in the middle of a write; disk full,
 * writes refused, reads refused, syncs refused: calls that fail, writes after half of them; backup: made of the
 * running log book; restored: the host is killed, its log book lost, and the newest backup takes its place.
 */
export const MISFORTUNES = [
  ...(['killed', 'killed answering', 'power cut', 'torn write'] as const),
  ...(['disk full', 'writes refused', 'reads refused', 'syncs refused', 'backup', 'restored'] as const),
];
export type MisfortuneKind = (typeof MISFORTUNES)[number];

export interface Misfortune {
  kind: MisfortuneKind;
  /** Calls to the disk, or acknowledgements, that still go well. */
  after: number;
  /** Calls that then fail, if the disk fails. */
  calls: number;
  /** How long the host is off if this ends it, ms. */
  offMs: number;
}

const SECOND = 1000;
const HOUR = 3600 * SECOND;
/** In a run; a backup and what follows from it come on top. */
const LEAST = 8;
const MOST = 20;
/** Calls to the disk in about one commit, and in a few. */
const COMMIT_CALLS = 15;
const FEW_COMMITS_CALLS = 60;
/** Calls that a disk may refuse before it works again, at most. */
const MOST_CALLS = 10_000;
/** Share of runs that lose their log book to an older backup. */
const RESTORED = 0.5;

function draw(r: Random, kind: MisfortuneKind): Misfortune {
  const calls = chance(r, 0.7) ? spread(r, 1, COMMIT_CALLS) : spread(r, COMMIT_CALLS, MOST_CALLS);
  return {
    kind,
    after: kind === 'killed answering' ? whole(r, 0, 5) : spread(r, 1, FEW_COMMITS_CALLS) - 1,
    calls,
    offMs: spread(r, SECOND, kind === 'reads refused' ? 6 * HOUR : 3 * DAY_MS),
  };
}

/** What happens to the host of this site, in order of time; numbers follow those of `schedule`. */
export function drawMisfortunes(site: CampaignSite, schedule: readonly Incident[]): Incident[] {
  const r = fork(mix(site), 'host');
  const draft = new Draft(site, r);
  const latest = site.days * DAY_MS - CALM_END_MS - 4 * DAY_MS;
  const incidents: Omit<Incident, 'number'>[] = [];
  const add = (kind: MisfortuneKind, at: number) => {
    if (at > DAY_MS && at < latest) incidents.push({ circuit: '', at, misfortune: draw(r, kind) });
  };
  const striking = MISFORTUNES.filter((kind) => kind !== 'backup' && kind !== 'restored');
  for (let left = whole(r, LEAST, MOST); left > 0; left--)
    add(pick(r, striking), draft.aim(pick(r, site.circuits)));
  if (chance(r, RESTORED)) {
    const at = whole(r, 2 * DAY_MS, latest);
    add('backup', Math.max(2 * DAY_MS, at - spread(r, DAY_MS, site.days * DAY_MS)));
    add('restored', at);
  }
  incidents.sort((a, b) => a.at - b.at);
  const first = schedule.reduce((most, { number }) => Math.max(most, number + 1), 0);
  return incidents.map((incident, i) => ({ ...incident, number: first + i }));
}
