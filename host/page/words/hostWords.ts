// Sentences that the host made, in the language of the page.

/** A sentence of the host as the page shows it. */
export function hostWords(text: string): string {
  return text;
}
