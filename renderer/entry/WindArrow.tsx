// A wind as an arrow: the tail on the side that it comes FROM, the head on the side that it blows TOWARD, north up. For
// the eye beside the words, which say the same.
import type { JSX } from 'preact';

export function WindArrow({ from_deg, size = 32 }: { readonly from_deg: number; readonly size?: number }): JSX.Element {
  return (
    <svg class="wind-arrow" width={size} height={size} viewBox="-16 -16 32 32" aria-hidden="true">
      <circle r={14.5} fill="none" stroke="var(--line)" />
      <path d="M0 -14.5v4" stroke="var(--quiet)" stroke-width={1.5} />
      <g transform={`rotate(${from_deg})`}>
        <path d="M0 -11V8" stroke="var(--wind)" stroke-width={2} />
        <path d="M-5 4L0 12L5 4Z" fill="var(--wind)" />
        <path d="M-3 -11H3" stroke="var(--wind)" stroke-width={2} />
      </g>
    </svg>
  );
}
