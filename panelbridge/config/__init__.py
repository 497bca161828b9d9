"""YAML files into validated models; every mistake with file, line, column and a hint."""
