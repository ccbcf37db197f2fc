// A field for a password, which can be shown: whoever sees what is typed makes fewer mistakes.
import type { JSX, Ref } from 'preact';
import { useState } from 'preact/hooks';
import { PASSWORD_MIN } from '../../api/accounts';
import { t } from '../tongues/tongue';

interface SecretProps {
  id: string;
  label: string;
  value: string;
  /** For password managers. */
  autoComplete: 'current-password' | 'new-password';
  onValue: (value: string) => void;
  /** What it must be like; '' for nothing. */
  rule?: string;
  field?: Ref<HTMLInputElement>;
}

export function SecretField({
  id,
  label,
  value,
  autoComplete,
  onValue,
  rule = '',
  field = null,
}: SecretProps): JSX.Element {
  const [isShown, show] = useState(false);
  return (
    <>
      <label for={id}>{label}</label>
      {rule === '' ? null : (
        <p class="quiet" id={`${id}-rule`}>
          {rule}
        </p>
      )}
      <input
        id={id}
        ref={field}
        type={isShown ? 'text' : 'password'}
        autoComplete={autoComplete}
        autoCapitalize="off"
        spellcheck={false}
        value={value}
        {...(rule !== '' && { 'aria-describedby': `${id}-rule` })}
        onInput={(e) => onValue(e.currentTarget.value)}
      />
      <label class="tick">
        <input type="checkbox" checked={isShown} onChange={(e) => show(e.currentTarget.checked)} />{' '}
        {t.signIn.show}
      </label>
    </>
  );
}

/** The field for a password that somebody chooses, with what it must be like. */
export function NewPassword(props: Pick<SecretProps, 'id' | 'value' | 'onValue'>): JSX.Element {
  const rule = t.signIn.rule(PASSWORD_MIN);
  return <SecretField {...props} label={t.signIn.newPassword} autoComplete="new-password" rule={rule} />;
}
