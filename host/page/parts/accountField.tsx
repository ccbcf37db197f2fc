// The field for the short name of an account, typed as it is stored.
import type { JSX } from 'preact';

interface AccountFieldProps {
  id: string;
  label: string;
  /** For password managers; off where it is somebody else's. */
  autoComplete: 'username' | 'off';
  value: string;
  onValue: (value: string) => void;
}

export function AccountField(props: AccountFieldProps): JSX.Element {
  const { id, label, autoComplete, value, onValue } = props;
  return (
    <>
      <label for={id}>{label}</label>
      <input
        id={id}
        autoComplete={autoComplete}
        autoCapitalize="off"
        spellcheck={false}
        value={value}
        onInput={(e) => onValue(e.currentTarget.value)}
      />
    </>
  );
}
