#!/bin/sh
# Enters Plumbline in this person's desktop: a menu entry and the file type *.mission.json. --remove takes both back.
# Standards: freedesktop.org Desktop Entry 1.5 and Shared MIME-info 0.21.
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
share=${XDG_DATA_HOME:-$HOME/.local/share}
entry=$share/applications/plumbline.desktop
type=$share/mime/packages/plumbline.xml

refresh() {
  if command -v update-mime-database >/dev/null 2>&1; then update-mime-database "$share/mime" || true; fi
  if command -v update-desktop-database >/dev/null 2>&1; then update-desktop-database "$share/applications" || true; fi
}

if [ "${1:-}" = --remove ]; then
  rm -f "$entry" "$type"
  refresh
  echo "Plumbline is no longer in the menu. The folder $here is yours to delete."
  exit 0
fi

mkdir -p "$share/applications" "$share/mime/packages"
# In a desktop entry a quoted argument escapes backslash, quote, dollar and backtick; a percent sign is doubled.
program=$(printf '%s' "$here/plumbline" | sed -e 's/[\\"$`]/\\&/g' -e 's/%/%%/g')
sed "s|^Exec=.*|Exec=\"$(printf '%s' "$program" | sed 's/[&|\\]/\\&/g')\" %f|" "$here/plumbline.desktop" >"$entry"
cp "$here/mission-type.xml" "$type"
refresh
echo "Plumbline is in the menu, and *.mission.json opens with it."
