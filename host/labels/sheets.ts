// Sheets of labels that people buy, for those who choose one by name (common practice, no source; sizes from memory).
import type { LabelSheet } from '../api/labels';
import { GRID_DEFAULT, type GridSaid } from './grid';

export const SHEETS: Record<LabelSheet, GridSaid> = {
  'a4 3x8': { paper: 'a4', grid: GRID_DEFAULT, gap: 0 },
  'a4 3x7': { paper: 'a4', grid: '3x7', label: '63.5x38.1', gap: 2.5 },
  'letter 2x5': { paper: 'letter', grid: '2x5', label: '101.6x50.8', gap: 4.8 },
};
