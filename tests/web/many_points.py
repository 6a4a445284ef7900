#!/usr/bin/env python3
"""A survey of many points out of one that was measured: copies a machine's rows in a history under other names,
and writes the machine and route files that name them. What the size of a page depends on (visits, readings,
spectra) is then real; only the names differ.

usage: many_points.py HISTORY MACHINE COUNT MACHINES.toml ROUTE.toml
"""
import sqlite3
import sys


def copy_rows(db, table, where, values, changed):
    """Copies rows, with some columns changed; returns {old rowid: new rowid}."""
    columns = [c[1] for c in db.execute(f"PRAGMA table_info({table})")]
    made = {}
    for row in db.execute(f"SELECT * FROM {table} WHERE {where}", values).fetchall():
        old = dict(zip(columns, row))
        new = {**old, **changed(old)}
        if "id" in columns:
            new["id"] = None
        cursor = db.execute(
            f"INSERT INTO {table} VALUES ({','.join('?' * len(columns))})", [new[c] for c in columns]
        )
        if "id" in columns:
            made[old["id"]] = cursor.lastrowid
    return made


def copy_machine(db, name, copy):
    machine, = copy_rows(db, "machine", "name = ?", [name], lambda _: {"name": copy}).values()
    points = copy_rows(
        db, "point", "machine = (SELECT id FROM machine WHERE name = ?)", [name], lambda _: {"machine": machine}
    )
    copy_rows(db, "event", "machine = (SELECT id FROM machine WHERE name = ?)", [name], lambda _: {"machine": machine})
    for old_point, point in points.items():
        captures = copy_rows(db, "capture", "point = ?", [old_point], lambda _: {"point": point})
        for old_capture, capture in captures.items():
            verdicts = copy_rows(db, "verdict", "capture = ?", [old_capture], lambda _: {"capture": capture})
            db.execute("UPDATE capture SET verdict = ? WHERE id = ?", [max(verdicts.values()), capture])
            for old_verdict, verdict in verdicts.items():
                for table in ("indicator", "part", "spectrum"):
                    copy_rows(db, table, "verdict = ?", [old_verdict], lambda _: {"verdict": verdict})


def main():
    history, name, count, machines, route = sys.argv[1:]
    names = [f"{name}-{i + 1:03}" for i in range(int(count))]
    db = sqlite3.connect(history)
    point, = db.execute(
        "SELECT p.name FROM point p JOIN machine m ON m.id = p.machine WHERE m.name = ?", [name]
    ).fetchone()
    with db:
        for copy in names:
            copy_machine(db, name, copy)
    db.close()
    with open(machines, "w", encoding="utf-8") as out:
        for copy in names:
            out.write(
                f'[[machine]]\nname = "{copy}"\npower_kw = 1.5\nrated_rpm = 1432\nframe = "IEC 90L"\n'
                f'mounting = "rigid"\nbearing.DE = {{ designation = "6205" }}\n'
                f'[[machine.point]]\nname = "{point}"\nend = "DE"\nunit = "m/s2"\nfull_scale = 128\n\n'
            )
    with open(route, "w", encoding="utf-8") as out:
        out.write(f'name = "Many points"\nmachines = "{machines}"\n')
        for copy in names:
            out.write(f'\n[[point]]\nmachine = "{copy}"\npoint = "{point}"\nfiles = "{copy}/{{date}}.wav"\n')


main()
