"""The hostile cases by number, each with a word for it and the tests that hold it.

A test named `test_row_07_...` anywhere under tests/ belongs to its row by its name; what holds a row under another name
is listed here as file::test, and a test sees to it that it exists.
"""

ROWS = {
    1: ("a length in every way people write it", (
        "engine/test_reading.py::test_one_length_is_read_from_every_way_people_write_it",
        "api/test_lengths.py::test_a_length_is_kept_to_the_nanometer_and_read_back_in_both_ways",
    )),
    2: ("14 inches, nine eighths, a zero below the line, a third", (
        "engine/test_reading.py::test_what_can_not_be_a_length_is_refused_with_a_remedy",
    )),
    3: ("12.6 where feet and inches are written", (
        "engine/test_reading.py::test_a_bare_decimal_in_a_feet_and_inches_shop_is_asked_about",
        "api/test_lengths.py::test_a_length_that_can_be_read_in_two_ways_is_asked_about_with_both",
    )),
    4: ("numbers that are none", ("api/test_strict_json.py::test_a_body_that_is_not_plain_json_is_refused",)),
    5: ("below the least", ("api/test_lengths.py::test_what_is_no_length_is_refused_at_its_place",)),
    6: ("above the most", ("api/test_lengths.py::test_the_bounds_of_the_page_hold_for_nanometers_too",)),
    7: ("5,000 digits", ("api/test_strict_json.py::test_a_body_that_is_not_plain_json_is_refused",)),
    8: ("a value of another type", (
        "api/test_lengths.py::test_a_bare_number_is_refused_with_the_remedy",
        "api/test_bodies.py::test_a_value_of_another_type_is_not_turned_into_one_that_fits",
    )),
    9: ("underscores and other digits", ("api/test_lengths.py::test_what_is_no_length_is_refused_at_its_place",)),
    10: ("too deep, too large, too many fields", (
        "api/test_strict_json.py::test_a_body_over_a_million_bytes_is_too_large",
    )),
    11: ("a key twice", ("api/test_strict_json.py::test_a_body_that_is_not_plain_json_is_refused",)),
    12: ("bytes that are no text", ("api/test_strict_json.py::test_a_body_that_is_not_plain_json_is_refused",)),
    13: ("an outline that crosses itself", (
        "engine/test_outline.py::test_edges_that_cross_are_named_with_the_place_on_the_rooms_tape",
    )),
    14: ("a scribble of a thousand corners", ()),
    15: ("100,000 corners", ("engine/test_outline.py::test_too_few_and_too_many_corners_say_how_many",)),
    16: ("clockwise, repeated, on one line, spikes, no area", (
        "engine/test_outline.py::test_an_outline_reads_the_same_entered_either_way_round_and_from_any_corner",
        "engine/test_outline.py::test_a_spike_is_named_by_its_corner",
        "engine/test_outline.py::test_one_point_entered_twice_is_named_by_both_numbers",
        "engine/test_outline.py::test_corners_on_one_line_are_no_ceiling",
    )),
    17: ("walls that nearly meet", (
        "engine/test_outline_from_walls.py::test_walls_that_fall_short_are_told_with_the_walls_to_look_at",
    )),
    18: ("a thing over the whole ceiling", (
        "engine/test_ways.py::test_a_ceiling_that_is_full_says_so_and_gives_the_least_bad",
        "engine/test_room_overhead.py::test_each_thing_is_said_by_its_name_and_safety_comes_first",
    )),
    19: ("a million joists, ten thousand lights", ("engine/test_placement.py::test_counts_out_of_bounds_are_refused",)),
    20: ("what can't be done at all", (
        "engine/test_ways.py::test_the_clash_is_a_clash_and_a_smallest_one",
        "layout/test_ways_out.py::test_the_page_says_what_is_in_the_way_and_how_far_each_way_moves",
    )),
    21: ("markup in a name", ()),
    22: ("letters nobody sees", ()),
    23: ("names that look alike", ()),
    24: ("emoji, long and empty names", ()),
    25: ("formulas in cells", (
        "takeoffs/test_sheets.py::test_what_a_spreadsheet_would_take_for_something_else_is_led_by_an_apostrophe",
        "takeoffs/test_sheets.py::test_taking_one_apostrophe_off_gives_back_any_text",
        "takeoffs/test_sheets.py::test_a_workbook_keeps_text_as_text_and_numbers_as_numbers",
    )),
    26: ("lists too long, unclosed, mixed", (
        "prices/test_price_files.py::test_every_row_that_can_not_be_taken_is_told_by_its_line_and_column",
        "prices/test_price_files.py::test_one_row_that_can_not_be_read_holds_all_of_them_back",
        "pasting/test_pasting_rooms.py::test_one_wrong_row_of_a_long_list_stops_all_of_it_and_is_named",
    )),
    27: ("packed files that unpack to too much", ()),
    28: ("spreadsheets with entities, links, macros", (
        "doors/test_server_checks.py::test_spreadsheets_are_read_without_entities",
    )),
    29: ("angles declared and not there", (
        "engine/test_light_file_hostile.py::test_thirty_seven_angles_declared_and_thirty_six_there",
        "engine/test_light_file_hostile.py::test_too_many_candelas_are_refused_where_the_first_of_them_stands",
        "engine/test_light_file_hostile.py::test_too_few_candelas_are_refused_with_the_counts_and_never_filled_in",
    )),
    30: ("candelas that are no numbers", (
        "engine/test_light_file_hostile.py::test_what_is_no_number_is_pointed_at",
        "engine/test_light_file_hostile.py::test_a_negative_candela_is_refused",
        "engine/test_light_file_hostile.py::test_decimals_with_a_comma_are_refused_not_read_as_two_numbers",
    )),
    31: ("a thousand million angles declared", (
        "engine/test_light_file_hostile.py::test_a_declared_size_is_held_against_the_limit_and_the_file_before_anything_is_made",
    )),
    32: ("angles that don't rise, other photometry", (
        "engine/test_light_file_hostile.py::test_each_field_out_of_range_is_named",
        "engine/test_light_file.py::test_types_a_and_b_are_refused_by_name_never_read_as_c",
    )),
    33: ("endless files, a tilt named by its file", (
        "engine/test_light_file_hostile.py::test_endless_lines_and_endless_files_are_refused_by_their_size",
        "engine/test_light_file_hostile.py::test_tilt_that_says_nothing_usable_is_refused",
    )),
    34: ("lumens of less than nothing, absurd multipliers", (
        "engine/test_light_file.py::test_absolute_photometry_has_no_rated_lumens_and_its_flux_is_what_the_candelas_add_up_to",
        "engine/test_light_file_hostile.py::test_each_field_out_of_range_is_named",
    )),
    35: ("pictures that are none, or far too large", (
        "photos/test_photos.py::test_what_is_no_picture_is_refused_whatever_it_is_called",
        "photos/test_photos.py::test_a_photo_is_upright_smaller_and_silent_about_the_phone_and_the_place",
        "photos/test_photos.py::test_a_photo_with_damaged_tags_is_kept_or_refused_in_words",
    )),
    36: ("file names", ("projects/test_photometric_files.py::test_a_files_name_is_a_label_and_nothing_more",)),
    37: ("slow and endless uploads", ()),
    38: ("a quota under twenty hands", (
        "photos/test_quota_under_race.py::test_of_twelve_phones_as_many_keep_a_photo_as_there_is_room_for",
    )),
    39: ("another shop's room", (
        "api/test_permission_walk.py::test_another_shops_record_is_answered_like_one_that_is_not_there",
    )),
    40: ("another shop's id in a body", (
        "api/test_bodies.py::test_another_shops_fixture_type_is_no_choice",
        "api/test_bulk.py::test_another_shops_room_is_told_like_one_that_is_not_there_and_nothing_is_taken",
    )),
    41: ("another shop's records through a list's questions", (
        "api/test_questions.py::test_what_a_list_does_not_offer_is_refused_by_name",
    )),
    42: ("another shop's files", (
        "walk/test_other_shops_ids.py::test_another_shops_id_is_answered_as_one_that_does_not_exist",
        "api/test_permission_walk.py::test_another_shops_record_is_answered_like_one_that_is_not_there",
        "photos/test_photos.py::test_a_viewer_looks_and_a_stranger_does_not",
    )),
    43: ("fields nobody may write", (
        "api/test_strict_json.py::test_what_is_not_for_writing_is_refused_not_passed_over",
        "api/test_nobody_writes.py::test_a_column_that_is_not_offered_is_refused_by_name_and_nothing_is_written",
    )),
    44: ("prices that are not for everybody", (
        "api/test_schema.py::test_who_may_not_see_prices_is_told_of_no_address_that_shows_them",
        "takeoffs/test_sheets.py::test_whoever_may_not_see_prices_gets_no_such_column_in_any_file",
    )),
    45: ("an invitation used by another, or again", (
        "doors/test_invitations.py::test_it_is_used_once",
        "doors/test_invitations.py::test_another_person_cannot_take_it_up",
        "doors/test_invitations.py::test_a_link_that_was_altered_is_none",
    )),
    46: ("two edits from one version", (
        "api/test_preconditions.py::test_a_tag_that_is_not_the_stored_one_is_stale",
        "api/test_preconditions.py::test_an_edit_without_what_it_was_made_from_is_refused",
        "api/test_preconditions.py::test_the_difference_is_told_field_by_field",
    )),
    47: ("the same key again", (
        "api/test_keys.py::test_the_same_request_again_is_answered_as_the_first_time",
        "api/test_keys.py::test_another_body_with_the_same_key_is_refused",
        "api/test_keys.py::test_while_it_is_worked_on_others_are_told_to_wait",
        "api/test_keys.py::test_a_key_belongs_to_one_person_in_one_shop",
    )),
    48: ("a bid accepted twice, or an old one", (
        "bids/test_send_and_accept.py::test_an_acceptance_locks_the_baseline_once",
        "bids/test_send_and_accept.py::test_only_the_revision_that_stands_is_accepted",
        "bids/test_pressed_at_once.py::test_sent_at_once_there_is_one_link_and_signed_at_once_one_name",
    )),
    49: ("a phone's ticks of three days ago", (
        "field/test_sent_once.py::test_an_entry_for_a_room_that_is_gone_is_kept",
        "field/test_sent_once.py::test_a_value_that_somebody_else_changed_is_not_gone_over",
        "browser/test_field_without_signal.py::test_what_was_entered_for_a_room_that_is_gone_can_be_saved_from_the_phone",
    )),
    50: ("a clock wrong by a year, one key of two phones", (
        "field/test_attacked_entries.py::test_odd_clocks_and_idents_are_a_remark_at_most",
        "field/test_sent_once.py::test_the_same_key_of_two_people_is_two_entries",
    )),
    51: ("pages that ask for what is not theirs", (
        "reports/test_pdf_fetches_nothing.py::test_a_page_that_names_a_server_is_refused_and_the_server_is_not_asked",
        "reports/test_pdf_fetches_nothing.py::test_a_page_that_names_a_file_of_this_machine_is_refused",
    )),
    52: ("pages that never end", ()),
    53: ("guesses", ("doors/test_guesses.py::test_of_two_hundred_guesses_at_once_no_more_than_ten_are_looked_at",)),
    54: ("letters for a new password", ("doors/test_passwords.py::test_a_letter_leads_to_a_new_password_once",)),
    55: ("sessions", ("doors/test_passwords.py::test_it_is_changed_and_every_other_session_ends_at_once",)),
    56: ("forged forms", ()),
    57: ("a way to elsewhere", ()),
    58: ("hosts and caches", ()),
    59: ("a word said twice, verbs in disguise", ()),
    60: ("a hook that points inside", ()),
    61: ("a hook's letter forged or sent again", ()),
    62: ("a calendar's address and its words", (
        "days/test_own_days.py::test_the_address_has_128_bits_and_only_its_digest_is_kept",
        "days/test_calendar_file.py::test_a_name_can_put_no_line_of_its_own_into_the_file",
        "days/test_own_days.py::test_a_calendar_has_a_most_and_is_read_in_so_many_queries",
    )),
    63: ("pages and cursors that mean nothing", (
        "api/test_questions.py::test_a_cursor_is_of_this_list_these_questions_and_this_shop",
        "api/test_questions.py::test_a_cursor_nobody_signed_opens_nothing",
        "api/test_lists.py::test_a_page_size_that_means_nothing_is_refused",
    )),
    64: ("text that a reader would go round in", ()),
    65: ("money", (
        "prices/test_pricing.py::test_rooms_add_up_to_lines_and_lines_to_totals_to_the_cent",
        "prices/test_price_files.py::test_an_amount_that_is_none_or_reads_two_ways_is_refused_with_the_remedy",
    )),
    66: ("names in drawings", (
        "layout/test_exports.py::test_a_name_with_a_line_break_or_a_code_in_it_stays_a_name",
    )),
    67: ("the platform's own pages", ()),
    68: ("search", ("office/test_search.py::test_percent_and_underscore_are_letters_like_others",)),
    69: ("lines of a log", ()),
    70: ("days and clocks", ()),
    71: ("the last owner, a person in the history", (
        "projects/test_people.py::test_the_last_owner_stays",
        "history/test_personal_data.py::test_the_last_owner_is_not_erased",
        "history/test_personal_data.py::test_what_they_did_stays_under_another_name_and_the_chain_holds",
    )),
    72: ("units and editions changed later", ()),
}  # fmt: skip
