import { context, propagation, type Span, SpanKind, SpanStatusCode, trace } from '@opentelemetry/api';

/**
 * Runs `work` inside a span of OpenTelemetry, as part of the trace that the caller's headers name (W3C Trace Context). Costs next to
 * nothing until whoever runs the service loads an OpenTelemetry SDK before it (`node --import`).
 */
export function traced(name: string, headers: Headers, work: (span: Span) => Promise<void>): Promise<void> {
  const from = propagation.extract(context.active(), headers, {
    keys: (given) => [...given.keys()],
    get: (given, key) => given.get(key) ?? undefined,
  });
  return trace.getTracer('loopwright').startActiveSpan(name, { kind: SpanKind.SERVER }, from, async (span) => {
    try {
      await work(span);
    } catch (error) {
      span.setStatus({ code: SpanStatusCode.ERROR });
      throw error;
    } finally {
      span.end();
    }
  });
}
