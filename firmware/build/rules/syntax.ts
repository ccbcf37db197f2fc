// Syntax that the interpreter does not parse, or parses with another meaning.
import type { ReturnStatement, SwitchStatement } from 'acorn';
import { type Ast, children, isFunction, walk } from './ast';
import { at, type Finding } from './finding';
import { findLoopCaptures } from './loops';
import { regexFault } from './regex';

type Report = (rule: string, node: Ast, sentence: string) => void;

const UNPARSED: { [type: string]: string | undefined } = {
  SpreadElement: 'spread',
  RestElement: 'a rest parameter',
  AssignmentPattern: 'a default value',
  ObjectPattern: 'destructuring',
  ArrayPattern: 'destructuring',
  ChainExpression: 'optional chaining',
  AwaitExpression: 'await',
  YieldExpression: 'yield',
  TaggedTemplateExpression: 'a tagged template',
  LabeledStatement: 'a label',
  MetaProperty: 'new.target or import.meta',
  WithStatement: 'with',
  StaticBlock: 'a static block',
  PrivateIdentifier: 'a private name',
  ImportDeclaration: 'import',
  ImportExpression: 'import()',
  ExportNamedDeclaration: 'export',
};

const UNPARSED_ASSIGNMENTS = ['**=', '??=', '||=', '&&='];

function checkUnparsed(node: Ast, report: Report): void {
  const what = UNPARSED[node.type];
  if (what) report('syntax', node, `the interpreter does not parse ${what}`);
  if (isFunction(node) && (node.async || node.generator))
    report('syntax', node, 'the interpreter has no async functions and no generators');
  if (node.type === 'BinaryExpression' && node.operator === '**')
    report('syntax', node, 'the interpreter does not parse **');
  if (node.type === 'AssignmentExpression' && UNPARSED_ASSIGNMENTS.includes(node.operator))
    report('syntax', node, `the interpreter does not parse ${node.operator}`);
  if ((node.type === 'Property' || node.type === 'MethodDefinition') && node.computed)
    report('syntax', node, 'the interpreter does not parse a computed key');
  if (node.type === 'PropertyDefinition' && !(node.static && node.value))
    report('syntax', node, 'only static class fields with a value are known to work on the interpreter');
  if (node.type === 'Literal' && node.bigint) report('syntax', node, 'the interpreter has no big integers');
}

function checkClass(node: Ast, report: Report): void {
  if ((node.type === 'ClassDeclaration' || node.type === 'ClassExpression') && node.superClass)
    report('extends', node, 'inheritance fails on the interpreter (static members, deep super calls, Error)');
}

/** "return", newline, value: the interpreter returns the value. */
function checkReturn(node: ReturnStatement, source: string, report: Report): void {
  if (!node.argument && !/^return[ \t]*[;}]/.test(source.slice(node.start, node.start + 200)))
    report('return', node, 'a return without a value needs a semicolon: the interpreter reads on');
}

function checkSwitch(node: SwitchStatement, report: Report): void {
  const fallback = node.cases.findIndex((part) => !part.test);
  if (fallback >= 0 && fallback < node.cases.length - 1)
    report('switch', node, 'the interpreter wants default as the last case');
  for (const statement of node.cases.flatMap((part) => part.consequent))
    if (statement.type === 'VariableDeclaration' && statement.kind !== 'var')
      report('switch', statement as Ast, 'let and const leak out of a switch on the interpreter');
}

const KEYWORD_PROPERTY =
  /\.(if|else|do|while|for|break|continue|function|return|var|let|const|this|throw|try|catch|finally|new|in|instanceof|switch|case|default|delete|typeof|void|debugger|class|extends|super|static|of)$/;

function checkDivision(node: Ast, source: string, report: Report): void {
  const isDivision =
    (node.type === 'BinaryExpression' && node.operator === '/') ||
    (node.type === 'AssignmentExpression' && node.operator === '/=');
  if (!isDivision || !KEYWORD_PROPERTY.test(source.slice(node.left.start, node.left.end))) return;
  report(
    'division',
    node,
    'after a property named like a keyword the interpreter reads a regular expression',
  );
}

function isLength(node: Ast): boolean {
  if (node.type !== 'MemberExpression') return false;
  const property = node.property as Ast;
  if (node.computed) return property.type === 'Literal' && property.value === 'length';
  return property.type === 'Identifier' && property.name === 'length';
}

function checkLength(node: Ast, report: Report): void {
  const target =
    node.type === 'AssignmentExpression'
      ? node.left
      : node.type === 'UpdateExpression'
        ? node.argument
        : null;
  if (target && isLength(target as Ast))
    report('length', node, 'setting length throws on the interpreter; use splice');
}

function checkDelete(node: Ast, report: Report): void {
  if (node.type !== 'ForInStatement') return;
  walk(node.body as Ast, (inner) => {
    if (inner.type === 'UnaryExpression' && inner.operator === 'delete')
      report('delete', inner, 'deleting inside for..in skips entries on the interpreter');
  });
}

function checkText(node: Ast, report: Report): void {
  const text =
    node.type === 'Literal' && typeof node.value === 'string'
      ? node.value
      : node.type === 'TemplateElement'
        ? (node.value.cooked ?? '')
        : '';
  for (const character of text)
    if (character.charCodeAt(0) > 0xff) {
      report('text', node, 'strings are bytes on the interpreter: no character above 0xFF');
      return;
    }
}

function check(node: Ast, source: string, report: Report): void {
  checkUnparsed(node, report);
  checkClass(node, report);
  if (node.type === 'ReturnStatement') checkReturn(node, source, report);
  if (node.type === 'SwitchStatement') checkSwitch(node, report);
  checkLength(node, report);
  checkDivision(node, source, report);
  checkDelete(node, report);
  checkText(node, report);
  for (const capture of findLoopCaptures(node))
    report('loop', capture, 'every function made in this loop sees the last value on the interpreter');
  if (node.type === 'Identifier' && node.name === 'arguments')
    report(
      'arguments',
      node,
      'arguments.length is too large on the interpreter when parameters are left out',
    );
  if (node.type === 'Literal' && node.regex) {
    const fault = regexFault(node.regex.pattern);
    if (fault) report('regex', node, fault);
  }
}

/** Syntax the interpreter lacks or reads differently. */
export function findSyntax(program: Ast, source: string): Finding[] {
  const found: Finding[] = [];
  const report: Report = (rule, node, sentence) => found.push({ rule, ...at(source, node.start), sentence });
  const visit = (node: Ast): void => {
    check(node, source, report);
    children(node).forEach(visit);
  };
  visit(program);
  return found;
}
