"""Slips of a manual's typesetter: one printed value of a set is not what was read."""


def slip(record, rng):
    """The set with one slip, where a value allows one."""
    order = rng.permutation(len(record["points"]))
    for k in order:
        point = record["points"][int(k)]
        printed = point["printed"]
        kinds = [("decimal place", _decimal), ("swapped digits", _swapped), ("sign", _sign)]
        for what, how in [kinds[int(i)] for i in rng.choice(3, 3, replace=False, p=[0.45, 0.45, 0.1])]:
            new = how(printed, rng)
            if new is None or new == printed:
                continue
            row = record["manual"].splitlines()
            cells = row[int(k) + 1].split(",")
            full_scale = float(cells[4].rstrip("V"))
            if abs(float(new)) > full_scale:
                continue
            cells[3] = new
            row[int(k) + 1] = ",".join(cells)
            record["manual"] = "\n".join(row) + "\n"
            point["printed"] = new
            point["slip"] = {"what": what, "read": printed}
            return record
    return record


def _decimal(text, rng):
    value = float(text)
    if value == 0:
        return None
    new = value * (0.1 if rng.random() < 0.5 else 10.0)
    return f"{new:.4g}" if abs(new) < 1e4 else None


def _swapped(text, rng):
    places = [
        i for i in range(len(text) - 1) if text[i].isdigit() and text[i + 1].isdigit() and text[i] != text[i + 1]
    ]
    if not places:
        return None
    i = places[0]
    new = text[:i] + text[i + 1] + text[i] + text[i + 2 :]
    return None if new.lstrip("-").startswith("0") and "." not in new else new


def _sign(text, rng):
    if float(text) == 0:
        return None
    return text[1:] if text.startswith("-") else "-" + text
