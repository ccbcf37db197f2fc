// The page's JSON interface as an OpenAPI document: routes and requests as the server reads them, answers as the types
// in host/api, which a test has written to types.json.
import { z } from 'zod';
import { DESCRIBED, type Described } from '../../server/described';
import { IN_ADDRESS, type Need, RIGHTS, scopesOf } from '../../server/rights';
import types from './types.json';

const REFUSAL = 'Refusal';
const JSON_TYPE = 'application/json';

/** Types by their names. */
const schemas: Record<string, object> = types;

function refer(name: string): object {
  if (!Object.hasOwn(schemas, name)) throw new Error(`host/api has no type ${name}; write types.json again.`);
  return { $ref: `#/components/schemas/${name}` };
}

/** Those that a part of the document leads to. */
function schemasFor(part: object, found: Record<string, object> = {}): Record<string, object> {
  for (const [, name] of JSON.stringify(part).matchAll(/"#\/components\/schemas\/(\w+)"/g)) {
    if (Object.hasOwn(found, name)) continue;
    found[name] = schemas[name];
    schemasFor(schemas[name], found);
  }
  return found;
}

/** Without what only a whole document says of itself. */
function inline(schema: z.ZodType, io: 'input' | 'output'): Record<string, unknown> {
  const { $schema, ...rest } = z.toJSONSchema(schema, { target: 'draft-2020-12', io }) as Record<
    string,
    unknown
  >;
  return rest;
}

/** Of an address such as /api/circuits/:id/orders. */
function pathParameters(path: string): object[] {
  return [...path.matchAll(/:(\w+)/g)].map(([, name]) => ({
    ...{ name, in: 'path', required: true, schema: { type: 'string' } },
    description: 'An id of the site file',
  }));
}

function queryParameters(query: z.ZodObject | undefined): object[] {
  if (!query) return [];
  const fields = inline(query, 'output').properties as Record<string, object>;
  return Object.entries(fields).map(([name, schema]) => ({
    ...{ name, in: 'query', schema },
    required: !query.shape[name].safeParse(undefined).success,
  }));
}

function answers({ json, isList, also = [], file = [], events = {} }: Described): object {
  const shape = json === undefined ? undefined : refer(json);
  const whole = isList ? { type: 'array', items: shape } : shape;
  const content = whole
    ? { [JSON_TYPE]: { schema: whole } }
    : Object.fromEntries(file.map((type) => [type, {}]));
  const named = Object.entries(events).map(([name, type]) => [name, refer(type)]);
  const refused = also.map((status) => [
    String(status),
    { description: 'It was not done', content: { [JSON_TYPE]: { schema: shape } } },
  ]);
  return {
    '200': {
      description: 'The answer',
      content,
      ...(named.length > 0 && { 'x-events': Object.fromEntries(named) }),
    },
    ...Object.fromEntries(refused),
    default: { description: 'It was not done', content: { [JSON_TYPE]: { schema: refer(REFUSAL) } } },
  };
}

/** getApiCircuitsIdOrders */
function operationId(method: string, path: string): string {
  const words = path.split(/[^A-Za-z]+/).filter((word) => word !== '');
  return [method.toLowerCase(), ...words.map((word) => word[0].toUpperCase() + word.slice(1))].join('');
}

/** What somebody or something must show, one of these. */
function ways(route: string, need: Exclude<Need, 'everyone'>): object[] {
  const scopes = scopesOf(route);
  return [
    // Whoever signs in is a viewer at least.
    { session: [need === 'somebody' ? 'viewer' : need] },
    ...(scopes.length > 0 ? [{ token: scopes }] : []),
    ...(route === IN_ADDRESS ? [{ tokenInAddress: ['calendar'] }] : []),
  ];
}

function operation(route: string, described: Described, need: Need): object {
  const [method, path] = route.split(' ');
  const { what, query, body } = described;
  const parameters = [...pathParameters(path), ...queryParameters(query)];
  const request = body && {
    requestBody: { required: true, content: { [JSON_TYPE]: { schema: inline(body, 'input') } } },
  };
  return {
    ...{ operationId: operationId(method, path), summary: what },
    ...(parameters.length > 0 && { parameters }),
    ...request,
    responses: answers(described),
    security: need === 'everyone' ? [] : ways(route, need),
  };
}

/**
 * The HTTP interface as an OpenAPI 3.1 document.
 * @throws Error if a route is not described, or refers to a type that is not there
 */
export function openApi(): object {
  const paths: Record<string, Record<string, object>> = {};
  for (const [route, need] of Object.entries(RIGHTS)) {
    const described = DESCRIBED[route];
    if (!described) throw new Error(`${route} is not described; add it to host/server/described.ts.`);
    const [method, path] = route.split(' ');
    const address = path.replace(/:(\w+)/g, '{$1}');
    paths[address] = { ...paths[address], [method.toLowerCase()]: operation(route, described, need) };
  }
  return {
    openapi: '3.1.0',
    info: {
      title: 'Nightproof: the interface of the page',
      version: '0.1.0',
      description:
        'Made for the page of the same host, so it may change with every version: read the document that the host you ' +
        'run writes. What lasts are the status messages. Times are UTC seconds, currents mA. A request with a body is ' +
        'sent as application/json; the role an operation needs stands in its security.',
      license: { name: 'Apache-2.0', identifier: 'Apache-2.0' },
    },
    servers: [{ url: '/' }],
    paths,
    components: {
      schemas: schemasFor(paths),
      securitySchemes: {
        token: {
          ...{ type: 'http', scheme: 'bearer' },
          description: 'An access token that an administrator has made for one of the scopes named',
        },
        tokenInAddress: {
          ...{ type: 'apiKey', in: 'query', name: 'token' },
          description: 'An access token for the calendar, for programs that can send it in no other way',
        },
        session: {
          ...{ type: 'apiKey', in: 'cookie', name: 'nightproof' },
          description:
            'Set by signing in; its name ends in a mark of the host, and begins with __Host- over TLS. Not asked for on ' +
            "the host's own machine while there are no accounts.",
        },
      },
    },
  };
}
