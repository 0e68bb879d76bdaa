"""The coverage-guided fuzzer is run by hand: its library is no need of the tests."""

collect_ignore = ["read_any_bytes.py"]
