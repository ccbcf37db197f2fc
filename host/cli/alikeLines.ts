import { Limit } from '../../firmware/contract/limits';
import type { Circuit } from '../site/model';

/**
 * Names the luminaires of a circuit that are lit on mains with about the same current as on battery: no reading
 * shows which they are on, so people must look.
 * @returns one line, or none
 */
export function alikeLines({ id, luminaires }: Circuit): string[] {
  const alike = luminaires.filter(({ batteryMilliamps: battery, mainsMilliamps: mains }) => {
    const apart = Math.abs(mains - battery);
    return mains > 0 && apart * 100 < Limit.ApartPercent * Math.max(mains, battery);
  });
  if (alike.length === 0) return [];
  const names = alike.map((lamp) => lamp.id).join(', ');
  return [
    `Circuit "${id}": about the same current on mains and on battery: ${names}. A test cannot show that ` +
      'these leave the mains; watch them once a year as a test begins.',
  ];
}
