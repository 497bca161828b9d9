"""Files: YAML into validated models, and every error of a file with its place and a hint.

What other rooms use: ``load`` (a file with all that it names), ``aircraft_file``, ``feed_file`` and
``panel_file`` (the models), ``panel_parts`` (what a panel file holds), ``boards`` (pins of each
kind of board), ``shipped`` (files that come with the program), ``commands`` (check and schema),
``yaml_source`` (text into values with places), ``reading_context`` and ``conditions_file`` (names,
values and conditions that only an aircraft can judge), ``words`` (pieces of messages). A panel file
is written out in full (``panel_short_forms``) before anything reads it. Nothing is imported here,
so that each module stays cheap to import.
"""
