// The field that chooses one circuit, or all of them.
import type { JSX } from 'preact';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';

interface CircuitSelectProps {
  id: string;
  /** '' for all. */
  value: string;
  onCircuit: (circuit: string) => void;
}

export function CircuitSelect({ id, value, onCircuit }: CircuitSelectProps): JSX.Element {
  const { building } = usePage();
  return (
    <>
      <label for={id}>{t.log.circuit}</label>
      <select id={id} value={value} onChange={(e) => onCircuit(e.currentTarget.value)}>
        <option value="">{t.log.allCircuits}</option>
        {building?.circuits.map((circuit) => (
          <option key={circuit.id} value={circuit.id}>
            {circuit.id} {circuit.name}
          </option>
        ))}
      </select>
    </>
  );
}
