/** The answer of a route that did not do what was asked. Some add what they say of the request. */
export interface Refusal {
  ok: false;
  /** Plain words: what is wrong, and what to do. */
  answer: string;
}
