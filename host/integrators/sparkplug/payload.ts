// A Sparkplug payload on the wire: the fields of its protobuf schema that a node which only tells needs (Eclipse Sparkplug
// 3.0.0, 2022, 6.4).
import { PbfReader, PbfWriter } from 'pbf';

/** Numbers of data types, 6.4.16. */
const DataType = { Int64: 4, UInt32: 7, Boolean: 11, String: 12, DateTime: 13 } as const;
export type DataTypeName = keyof typeof DataType;

export type Value = number | string | boolean | null;

export interface Metric {
  /** Left out of data messages, which have the alias only. */
  name?: string;
  alias?: number;
  type: DataTypeName;
  /** DateTime in ms; null if there is none. */
  value: Value;
}

export interface Payload {
  /** UTC, ms. */
  timestamp: number;
  metrics: Metric[];
  /** Missing in a death message. */
  seq?: number;
}

const Field = { Timestamp: 1, Metrics: 2, Seq: 3 } as const;
const Of = {
  ...{ Name: 1, Alias: 2, Timestamp: 3, Type: 4, IsNull: 7 },
  ...{ Int: 10, Long: 11, Boolean: 14, String: 15 },
} as const;

function writeMetric({ metric, timestamp }: { metric: Metric; timestamp: number }, pbf: PbfWriter): void {
  const { name, alias, type, value } = metric;
  if (name !== undefined) pbf.writeStringField(Of.Name, name);
  if (alias !== undefined) pbf.writeVarintField(Of.Alias, alias);
  pbf.writeVarintField(Of.Timestamp, timestamp);
  // In data messages it need not be said, but the decoder of the Tahu project reads no value without it.
  pbf.writeVarintField(Of.Type, DataType[type]);
  if (value === null) pbf.writeBooleanField(Of.IsNull, true);
  else if (typeof value === 'string') pbf.writeStringField(Of.String, value);
  else if (typeof value === 'boolean') pbf.writeBooleanField(Of.Boolean, value);
  else pbf.writeVarintField(type === 'UInt32' ? Of.Int : Of.Long, value);
}

export function encode({ timestamp, metrics, seq }: Payload): Buffer {
  const pbf = new PbfWriter();
  pbf.writeVarintField(Field.Timestamp, timestamp);
  for (const metric of metrics) pbf.writeMessage(Field.Metrics, writeMetric, { metric, timestamp });
  if (seq !== undefined) pbf.writeVarintField(Field.Seq, seq);
  return Buffer.from(pbf.finish());
}

/** Names of the metrics in a command that are boolean and true; none if it cannot be read. */
export function trueMetrics(bytes: Uint8Array): string[] {
  try {
    const names: string[] = [];
    new PbfReader(bytes).readFields((tag: number, _all: unknown, pbf: PbfReader) => {
      if (tag !== Field.Metrics) return;
      const metric = { name: '', isTrue: false };
      pbf.readMessage((of: number, one: typeof metric, inner: PbfReader) => {
        if (of === Of.Name) one.name = inner.readString();
        else if (of === Of.Boolean) one.isTrue = inner.readBoolean();
      }, metric);
      if (metric.isTrue) names.push(metric.name);
    }, {});
    return names;
  } catch {
    return [];
  }
}
