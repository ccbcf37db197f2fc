// Names that Node has and the interpreter lacks: there they read as undefined, often without an error.
import type { Identifier, MemberExpression } from 'acorn';
import { type Ast, isPropertyName, walk } from './ast';
import { at, type Finding } from './finding';

const words = (text: string): Set<string> => new Set(text.split(' '));

const GLOBALS = words(
  'Map Set WeakMap WeakSet WeakRef Symbol Proxy Reflect BigInt Intl structuredClone queueMicrotask ' +
    'TextEncoder TextDecoder Buffer',
);

const STATICS: { [object: string]: Set<string> | undefined } = {
  Math: words('hypot log10 log2 cbrt fround clz32 trunc imul sinh cosh tanh asinh acosh atanh expm1 log1p'),
  Number: words(
    'isInteger isNaN isFinite parseFloat parseInt isSafeInteger EPSILON MAX_SAFE_INTEGER MIN_SAFE_INTEGER',
  ),
  Array: words('from of'),
  Object: words('freeze is isFrozen seal isSealed preventExtensions'),
  Date: words('UTC'),
};

/** Nor may the minifier give one of these names to a property of the program's own. */
export const METHODS = words(
  'codePointAt localeCompare matchAll normalize search trimStart trimEnd at flat flatMap findLast ' +
    'findLastIndex reduceRight copyWithin replaceAll',
);

/** Array methods that are also functions of Object, where they do exist. */
const ARRAY_ITERATORS = words('keys values entries');

/** Helpers the compiler emits for syntax it lowers; all use something the interpreter lacks. */
const HELPER =
  /^__(extends|assign|rest|spreadArray|awaiter|generator|values|read|makeTemplateObject|decorate|setFunctionName|importDefault)$/;

function ofIdentifier(node: Identifier, parent: Ast | undefined): string | undefined {
  if (isPropertyName(node as Ast, parent)) return undefined;
  if (GLOBALS.has(node.name)) return `the interpreter has no ${node.name}`;
  if (HELPER.test(node.name)) return `the compiler's helper ${node.name} does not work on the interpreter`;
  return undefined;
}

function ofMember(node: MemberExpression, parent: Ast | undefined): string | undefined {
  const { object, property } = node;
  if (node.computed || property.type !== 'Identifier') return undefined;
  const name = property.name;
  const owner = object.type === 'Identifier' ? object.name : '';
  if (STATICS[owner]?.has(name)) return `the interpreter has no ${owner}.${name}`;
  if (owner === 'Array' && name === 'prototype')
    return 'reading a method off Array.prototype gives undefined; take it off [] instead';
  const isCalled = parent?.type === 'CallExpression' && (parent.callee as Ast) === node;
  if (isCalled && METHODS.has(name)) return `the interpreter has no method ${name}`;
  if (isCalled && ARRAY_ITERATORS.has(name) && owner !== 'Object' && parent.arguments.length === 0)
    return `the interpreter has no method ${name} of arrays`;
  return undefined;
}

/** Uses of names the interpreter does not have. */
export function findMissing(program: Ast, source: string): Finding[] {
  const found: Finding[] = [];
  walk(program, (node, parent) => {
    let sentence: string | undefined;
    if (node.type === 'Identifier') sentence = ofIdentifier(node, parent);
    if (node.type === 'MemberExpression') sentence = ofMember(node, parent);
    if (sentence) found.push({ rule: 'missing', ...at(source, node.start), sentence });
  });
  return found;
}
