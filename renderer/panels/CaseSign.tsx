// A case's sign as it stands on the map and on paper: a shape that differs in outline, with the case's letter beside
// it.
import type { JSX } from 'preact';
import type { CaseMark } from '../../core/mission/caseKinds.ts';
import { never } from '../../core/base/problem.ts';

export function CaseSign({ mark }: { readonly mark: CaseMark }): JSX.Element {
  return (
    <span class="case-sign">
      <svg viewBox="-8 -8 16 16" width="14" height="14" aria-hidden="true">
        <path d={outlineOf(mark.shape)} />
      </svg>
      <span>{mark.letter}</span>
    </span>
  );
}

const turned = (sides: number, r: number, from_deg = -90): string => {
  const points = Array.from({ length: sides }, (_, i) => {
    const angle = ((from_deg + (360 * i) / sides) * Math.PI) / 180;
    return `${(r * Math.cos(angle)).toFixed(2)} ${(r * Math.sin(angle)).toFixed(2)}`;
  });
  return `M${points.join('L')}Z`;
};

const disc = (r: number): string => `M${r} 0A${r} ${r} 0 1 1 ${-r} 0A${r} ${r} 0 1 1 ${r} 0Z`;

function outlineOf(shape: CaseMark['shape']): string {
  switch (shape) {
    case 'circle':
      return disc(6);
    case 'ring':
      return `${disc(6)}${disc(2.5)}`;
    case 'square':
      return 'M-5.5-5.5H5.5V5.5H-5.5Z';
    case 'triangle':
      return 'M0-6L6 5.5H-6Z';
    case 'triangle down':
      return 'M0 6L6-5.5H-6Z';
    case 'diamond':
      return 'M0-7L7 0L0 7L-7 0Z';
    case 'cross':
      return 'M-5-5L5 5M-5 5L5-5';
    case 'plus':
      return 'M0-6.5V6.5M-6.5 0H6.5';
    case 'hexagon':
      return turned(6, 6.5, 0);
    case 'pentagon':
      return turned(5, 6.5);
    case 'hourglass':
      return 'M-5.5-5.5H5.5L-5.5 5.5H5.5Z';
    case 'bar':
      return 'M-7-2.5H7V2.5H-7Z';
    case 'star':
      return 'M0-7L1.7-2.3L6.7-2.2L2.7.9L4.1 5.7L0 2.9L-4.1 5.7L-2.7.9L-6.7-2.2L-1.7-2.3Z';
    default:
      return never(shape);
  }
}
