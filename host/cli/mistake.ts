/** A user's mistake: only the sentence is shown. */
export class Mistake extends Error {}
