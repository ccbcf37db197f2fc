// What the host says to a form or a change, read out at once.
import type { ComponentChildren, JSX } from 'preact';
import type { AccountOutcome } from '../../api/accounts';
import { FromHost } from './fromHost';

/**
 * What the host has against a form.
 * @param words one sentence; '' for nothing
 * @param isGood the host has nothing against it, and says so
 */
export function Mistake({ words, isGood = false }: { words: string; isGood?: boolean }): JSX.Element {
  return (
    <p class={isGood ? '' : 'mistake'} role="alert">
      <FromHost text={words} />
    </p>
  );
}

/** What came of a change, and below it what is shown only once. */
export function Answer({
  said,
  children,
}: {
  said: AccountOutcome;
  children: ComponentChildren;
}): JSX.Element {
  return (
    <div role="status">
      {said.answer === '' ? null : (
        <p class={said.ok ? 'note' : 'mistake'}>
          <FromHost text={said.answer} />
        </p>
      )}
      {children}
    </div>
  );
}
