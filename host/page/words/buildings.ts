// Buildings in words: the tone of each state, and how many are in which.
import { BUILDING_WORDS, type BuildingLine, type BuildingWord } from '../../api/buildings';
import { t } from '../tongues/tongue';
import type { Tone } from './tone';

export const BUILDING_TONES: Record<BuildingWord, Tone> = {
  'not served': 'fault',
  'in doubt': 'fault',
  'supply off': 'fault',
  'supply not proven': 'fault',
  fault: 'fault',
  silent: 'fault',
  defects: 'fault',
  testing: 'busy',
  'not known': 'idle',
  'in order': 'good',
};

/** "Not served: 1, Defects open: 2, In order: 7": the worst first. */
export function buildingsTally(lines: readonly BuildingLine[]): string {
  return BUILDING_WORDS.flatMap((word) => {
    const n = lines.filter((line) => line.word === word).length;
    return n === 0 ? [] : [`${t.buildings.words[word]}: ${n}`];
  }).join(', ');
}
