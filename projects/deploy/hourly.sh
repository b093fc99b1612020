#!/bin/sh
# What is due each hour: a backup (48 are kept), a drill of the newest one a week, the trash of 30 days ago, photos
# nobody finished, the morning's letters from six o'clock on. One that fails keeps none of the others.
#   hourly.sh            once, from a timer
#   hourly.sh every 3600 for as long as it is left running
cd "$(dirname "$0")/../.." || exit 1

once() {
    failed=0
    python3 manage.py backup --if-older 55 --keep 48 || failed=1
    python3 manage.py restore_drill --if-older 7 || failed=1
    python3 manage.py purge || failed=1
    python3 manage.py tidy_photos || failed=1
    if [ "$(TZ="${CEILINGBOOK_TIME_ZONE:-UTC}" date +%H)" -ge 6 ]; then python3 manage.py digest || failed=1; fi
    return "$failed"
}

[ "${1:-}" = every ] || { once; exit; }
trap 'exit 0' TERM INT
while :; do
    once
    sleep "${2:-3600}" & wait $!
done
