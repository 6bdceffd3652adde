// Writes a look's roles onto the document as CSS variables. Through the CSSOM, which the content policy allows where it
// refuses style attributes in HTML.
import { palettes, roleNames, type Look } from './roles.ts';

export function applyLook(root: HTMLElement, look: Look): void {
  const palette = palettes[look];
  for (const role of roleNames) root.style.setProperty(`--${role}`, palette[role]);
  root.dataset['look'] = look;
  root.style.colorScheme = look === 'day' ? 'light' : 'dark';
}
