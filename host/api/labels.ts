// POST /api/labels (LabelsRequest -> a PDF): labels for the luminaires, with a code that opens the page of each.

/** Sheets of labels that people buy, by paper, columns and rows. */
export const LABEL_SHEETS = ['a4 3x8', 'a4 3x7', 'letter 2x5'] as const;
export type LabelSheet = (typeof LABEL_SHEETS)[number];

export interface LabelsRequest {
  /** At which telephones open the page. */
  address: string;
  sheet: LabelSheet;
  /** Id of the only circuit they are for. */
  circuit?: string;
}
