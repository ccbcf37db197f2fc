// The gate on the emitted file: what the interpreter cannot parse, what it lacks, what it silently does
// differently, and every name used before its definition (it does not hoist). Each rule comes from a probe
// run on Espruino 2v29. Differences that show only at run time (sorting, number text, JSON) are left to the
// tests.
import { parse } from 'acorn';
import type { Ast } from './rules/ast';
import { at, type Finding } from './rules/finding';
import { findMissing } from './rules/missing';
import { findDisorder } from './rules/order';
import { findSyntax } from './rules/syntax';

export type { Finding } from './rules/finding';

export interface GateOptions {
  /**
   * Also flag a name that a nested function uses before the text that declares it. Such a program works only
   * if nothing calls the function too early; the minifier may reorder it but never break it.
   */
  strictOrder: boolean;
}

/** `line:column rule: sentence` */
export function describe(finding: Finding): string {
  return `${finding.line}:${finding.column} ${finding.rule}: ${finding.sentence}`;
}

/** Everything in `source` that the interpreter would not run as Node does, in order of position. */
export function gate(source: string, options: GateOptions): Finding[] {
  let program: Ast;
  try {
    program = parse(source, { ecmaVersion: 2022, sourceType: 'script' });
  } catch (failure) {
    return [unreadable(failure as SyntaxError & { pos: number }, source)];
  }
  const findings = [
    ...findSyntax(program, source),
    ...findMissing(program, source),
    ...findDisorder(program, source, options.strictOrder),
  ];
  const once = new Map(findings.map((finding) => [describe(finding), finding]));
  return [...once.values()].sort((a, b) => a.line - b.line || a.column - b.column);
}

function unreadable(failure: SyntaxError & { pos: number }, source: string): Finding {
  const sentence = failure.message.replace(/ \(\d+:\d+\)$/, '');
  return { rule: 'parse', ...at(source, failure.pos), sentence };
}
