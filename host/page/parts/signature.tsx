// Who enters or orders something, and what is wrong with the form above it.
import type { JSX, Ref } from 'preact';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';

interface SignatureProps {
  /** Of the field. */
  id: string;
  name: string;
  onName: (name: string) => void;
  /** What to change in the form, one sentence; '' for nothing. */
  mistake: string;
  field?: Ref<HTMLInputElement>;
}

/** The field for one's name, and the mistake that is read out with it. */
export function Signature({ id, name, onName, mistake, field = null }: SignatureProps): JSX.Element {
  const person = usePage().session?.person;
  if (person)
    return (
      <>
        <p>{t.signIn.enteredBy(person.name)}</p>
        <p class="mistake" role="alert">
          {mistake}
        </p>
      </>
    );
  return (
    <>
      <label for={id}>{t.orders.yourName}</label>
      <input
        id={id}
        ref={field}
        name="who"
        autoComplete="name"
        value={name}
        aria-invalid={mistake !== ''}
        aria-describedby={`${id}-mistake`}
        onInput={(e) => onName(e.currentTarget.value)}
      />
      <p id={`${id}-mistake`} class="mistake" role="alert">
        {mistake}
      </p>
    </>
  );
}
