// What the host has against a form, read out at once.
import type { JSX } from 'preact';
import { FromHost } from './fromHost';

/** @param words one sentence; '' for nothing */
export function Mistake({ words }: { words: string }): JSX.Element {
  return (
    <p class="mistake" role="alert">
      <FromHost text={words} />
    </p>
  );
}
