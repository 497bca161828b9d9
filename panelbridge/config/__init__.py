"""YAML files into validated models; every problem with file, line, column and a hint."""
