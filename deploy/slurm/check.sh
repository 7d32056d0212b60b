#!/usr/bin/env bash
# Proves predict.sbatch by a real run: starts a Slurm of one node for itself, runs
# eight shards as an array, loses one and makes it again, and holds the merged
# answer against that of one run, byte for byte. Nothing of it outlives the script.
# Needs slurmctld, slurmd and munged, as in the distribution's slurm-wlm and munge.
set -euo pipefail
cd "$(dirname "$0")/../.."
PATH=$PATH:/usr/sbin:/sbin

for program in slurmctld slurmd munged sbatch; do
	command -v "$program" >/dev/null || { echo "slurm: $program is not installed; install slurm-wlm and munge" >&2; exit 3; }
done

dir=$(mktemp -d)
pids=()
cleanup() {
	status=$?
	((status)) && tail -n 20 "$dir"/log/* >&2
	for pid in "${pids[@]}"; do kill "$pid" 2>/dev/null || true; done
	for pid in "${pids[@]}"; do wait "$pid" 2>/dev/null || true; done
	rm -rf "$dir"
	exit "$status"
}
trap cleanup EXIT
mkdir -p "$dir"/{log,state,spool,run}
chmod 755 "$dir"

# The daemons authenticate each other by a key of their own.
head -c 1024 /dev/urandom >"$dir/munge.key"
chmod 600 "$dir/munge.key"
munged --foreground --force --num-threads 2 --key-file "$dir/munge.key" --socket "$dir/run/munge" \
	--pid-file "$dir/run/munged.pid" --log-file "$dir/log/munged" --seed-file "$dir/run/munged.seed" >/dev/null 2>&1 &
pids+=($!)

node=$(hostname -s)
cores=$(nproc)
cat >"$dir/slurm.conf" <<CONF
ClusterName=check
SlurmctldHost=$node(127.0.0.1)
SlurmctldPort=${SLURMCTLD_PORT:-26817}
SlurmdPort=${SLURMD_PORT:-26818}
SlurmUser=$(id -un)
SlurmdUser=$(id -un)
AuthType=auth/munge
AuthInfo=socket=$dir/run/munge
CredType=cred/munge
StateSaveLocation=$dir/state
SlurmdSpoolDir=$dir/spool
SlurmctldPidFile=$dir/run/slurmctld.pid
SlurmdPidFile=$dir/run/slurmd.pid
SlurmctldLogFile=$dir/log/slurmctld
SlurmdLogFile=$dir/log/slurmd
ProctrackType=proctrack/pgid
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
MpiDefault=none
ReturnToService=2
NodeName=$node NodeAddr=127.0.0.1 CPUs=$cores State=UNKNOWN
PartitionName=all Nodes=$node Default=YES MaxTime=30 State=UP
CONF
export SLURM_CONF=$dir/slurm.conf

for _ in {1..50}; do [[ -S $dir/run/munge ]] && break; sleep 0.1; done
slurmctld -D >/dev/null 2>&1 &
pids+=($!)
slurmd -D >/dev/null 2>&1 &
pids+=($!)
for _ in {1..150}; do
	[[ $(sinfo --noheader --format=%t 2>/dev/null) == idle ]] && break
	sleep 0.2
done
[[ $(sinfo --noheader --format=%t) == idle ]] || { echo "slurm: the node does not come up" >&2; exit 1; }

go build -o "$dir/cupel" ./cmd/cupel
cp -r internal/dossier/demo/boards/hive-3s "$dir/board"
export CUPEL=$dir/cupel DOSSIER=$dir/board OUT=$dir/shards SHARDS=8 SAMPLES=24 SEED=7 OPTIONS="--trial overcharge --cell 1"
array() { sbatch --quiet --wait --output="$dir/log/shard-%a" --array="$1" deploy/slurm/predict.sbatch; }
array 1-8

merge() { "$CUPEL" merge "$OUT"/shard-*.json --json --out "$1" --force; }
whole=$dir/whole.json
read -ra options <<<"$OPTIONS"
"$CUPEL" predict "$DOSSIER" --samples $SAMPLES --seed $SEED "${options[@]}" --json --quiet --out "$whole" || (($? == 1))
merge "$dir/merged.json" || (($? == 1)) # 1: a stated figure fails, which is an answer
cmp "$whole" "$dir/merged.json"
echo "slurm: eight shards of $SAMPLES samples, merged, are the bytes of one run"

rm "$OUT/shard-5.json"
if merge "$dir/part.json" >"$dir/missing"; then
	echo "slurm: merged without shard 5" >&2
	exit 1
fi
grep -q 'shard 5 of 8 is missing' "$dir/missing"
array 5
merge "$dir/again.json" || (($? == 1))
cmp "$whole" "$dir/again.json"
echo "slurm: shard 5 was lost, named and made again alone; the bytes are the same"
