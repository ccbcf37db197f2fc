// The public notice: readable without an account, and with nothing in it that is not for everyone in the building.
import type { NoticeView } from '../api/notice';
import type { LampStatus } from '../api/views';
import type { View } from '../house/view/view';
import type { Site } from '../site/model';

/** A failed duration test stays in force until one passes: a function test cannot prove the battery. */
function hasFailed({ verdict, fullVerdict }: LampStatus): boolean {
  return verdict === 'fail' || fullVerdict === 'fail';
}

/** The notice at this moment; `now` is a UTC second. */
export function noticeView(site: Site, view: Pick<View, 'building' | 'status'>, now: number): NoticeView {
  const { notice, controllers } = view.status(now, 1);
  const failed = new Set(
    controllers.flatMap(({ lamps }) => lamps.filter(hasFailed)).map(({ luminaire }) => luminaire),
  );
  const lit = new Set(
    site.circuits
      .flatMap(({ luminaires }) => luminaires.filter(({ id }) => failed.has(id)))
      .flatMap(({ area, serves }) => [area, ...serves]),
  );
  const { name, timeZone, responsible } = site;
  const dark = site.areas.filter(({ id }) => lit.has(id)).map((area) => area.name);
  const { simulated } = view.building();
  return { name, timeZone, simulated, responsible, failed: dark, notice };
}
