"""Writes learnt numbers as Rust."""

import numpy as np


def number(value):
    text = f"{float(value):.4f}".rstrip("0")
    return text + "0" if text.endswith(".") else text


def number_rows(values):
    """Numbers of any depth as Rust's arrays; commas are set as rustfmt sets them."""
    values = np.asarray(values)
    return number(values) if values.ndim == 0 else "[" + ", ".join(number_rows(row) for row in values) + "]"


def write_weights(path, uses, constants):
    """Constants by name, kind and value; what is large is a static, of which there is one."""
    with open(path, "w") as file:
        file.write("//! Learnt numbers, written by a script beside `tests/benches/hearing/learn.rs`.\n\n")
        file.write('#![allow(clippy::approx_constant, reason = "a learnt number stands for nothing else")]\n\n')
        file.write(f"use {uses};\n")
        for name, kind, value in constants:
            sort = "static" if len(value) > 30_000 else "const"
            file.write(f"\npub(super) {sort} {name}: {kind} = {value};\n")
