// The notice for everyone in the building: where the emergency lighting may fail, until when, and when the notice
// may come down. Plain words, no circuits, nothing for electricians. It never says that the lighting is ready: full
// batteries do not show that.
import type { BuildingView, ControllerStatus, RiskEntry, RiskNotice } from '../../api/views';
import { t } from '../tongues/tongue';
import { dayAndTime } from './time';
import { standing } from './tone';

export interface Place {
  areas: string;
  words: string;
}

/** What the notice is made from. */
export interface Known {
  notice: RiskNotice;
  /** Names of areas with failed luminaires. */
  failed: string[];
}

/** Names of the areas in which failed luminaires stand or which they light, in site file order. */
export function failedAreas(
  { areas, circuits }: Pick<BuildingView, 'areas' | 'circuits'>,
  controllers: ControllerStatus[],
): string[] {
  const lamps = controllers.flatMap((status) => status.lamps);
  const failed = new Set(
    lamps.filter((lamp) => standing(lamp).verdict === 'fail').map(({ luminaire }) => luminaire),
  );
  const lit = new Set(
    circuits
      .flatMap(({ luminaires }) => luminaires.filter(({ id }) => failed.has(id)))
      .flatMap(({ area, serves }) => [area, ...serves]),
  );
  return areas.filter(({ id }) => lit.has(id)).map(({ name }) => name);
}

function entryWords({ state, from, until }: RiskEntry, zone: string): string {
  const end = until > 0 ? t.notice.until(dayAndTime(until, zone)) : t.notice.furtherNotice;
  const start = state === 'planned' ? t.notice.from(dayAndTime(from, zone)) : '';
  return t.notice.mayFail(start, end);
}

/** Each place with what holds for it, then those with failed luminaires; last those of which nothing is known. */
export function noticePlaces({ notice, failed }: Known, zone: string): Place[] {
  const dark = new Set(notice.unknown.map(({ circuit }) => circuit));
  // What a silent circuit was doing says nothing of now once its end has passed, or if it had none.
  const told = notice.entries.filter(({ circuit, until }) => until > 0 || !dark.has(circuit));
  const known = new Set(told.map(({ circuit }) => circuit));
  const rest = notice.unknown.filter(({ circuit }) => !known.has(circuit)).flatMap(({ areas }) => areas);
  const last = (areas: string[], words: string): Place[] =>
    areas.length === 0 ? [] : [{ areas: [...new Set(areas)].join(', '), words }];
  return [
    ...told.map((entry) => ({ areas: entry.areas.join(', '), words: entryWords(entry, zone) })),
    ...last(failed, t.notice.someFailed),
    ...last(rest, t.notice.notKnown),
    ...last(
      notice.unproven.filter((area) => !rest.includes(area)),
      t.notice.someNotKnown,
    ),
  ];
}

/** What the notice is about, in one line. */
export function noticeTitle({ notice: { entries, unknown, unproven }, failed }: Known): string {
  if (entries.length > 0) return t.notice.titleMayFail;
  if (failed.length > 0) return t.notice.titleFailed;
  if (unknown.length > 0) return t.notice.titleNotKnown;
  return unproven.length > 0 ? t.notice.titleSomeNotKnown : t.notice.titleNothing;
}

/** When the notice may come down; as long as an end is unknown, only the responsible person knows. */
export function takeDownWords(
  { notice: { entries, unknown, unproven }, failed }: Known,
  responsible: string,
  zone: string,
): string {
  const unsure = unknown.length + unproven.length + failed.length;
  if (entries.length + unsure === 0) return t.notice.none;
  if (unsure > 0 || entries.some(({ until }) => until === 0)) return t.notice.leaveUp(responsible);
  return t.notice.takeDown(dayAndTime(Math.max(...entries.map(({ until }) => until)), zone));
}
