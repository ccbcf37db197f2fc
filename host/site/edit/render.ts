// A value as new text in a site file, in the style of the file that `import` makes: one luminaire a line.
import { scalar } from '../table/yamlText';
import type { Item } from './data';

/** On one line, also inside brackets. */
export function flowText(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(flowText).join(', ')}]`;
  if (typeof value === 'object' && value !== null) {
    const parts = Object.entries(value).map(([key, one]) => `${scalar(key)}: ${flowText(one)}`);
    return parts.length === 0 ? '{}' : `{ ${parts.join(', ')} }`;
  }
  return typeof value === 'string' ? scalar(value) : String(value);
}

const isGroups = (value: unknown): value is Item[] =>
  Array.isArray(value) && value.length > 0 && value.every((one) => typeof one === 'object' && one !== null);

/** A field and its value behind an indent of `indent`; lists of groups have a line for each. */
export function fieldText(key: string, value: unknown, indent: string, eol: string): string {
  const lines = isGroups(value)
    ? [`${scalar(key)}:`, ...value.map((one) => `${indent}  - ${flowText(one)}`)]
    : [`${scalar(key)}: ${flowText(value)}`];
  return lines.join(eol);
}

/** An item of a list whose "-" has this indent, without it: a line for each field. */
export function itemText(item: unknown, indent: string, eol: string): string {
  if (typeof item !== 'object' || item === null || Array.isArray(item)) return `- ${flowText(item)}`;
  const inner = `${indent}  `;
  const fields = Object.entries(item).map(([key, value]) => fieldText(key, value, inner, eol));
  return fields.length === 0 ? '- {}' : `- ${fields.join(`${eol}${inner}`)}`;
}
