"""The hard cases of booking, by number: the rule, and the tests that hold it. `test_hard_cases.py` sees that each is
there and is really a test; a case may be held in several places, as a service, on a page and over the API."""

from __future__ import annotations

CASES: dict[int, tuple[str, tuple[str, ...]]] = {
    1: (
        "two that only touch are both accepted",
        ("gear/booking/test_promise_units.py::test_one_may_begin_where_the_other_ends",),
    ),
    2: (
        "who comes second reads who has it and from when it is free",
        (
            "gear/booking/test_promise_units.py::"
            "test_a_minute_too_early_is_refused_and_names_who_has_it_and_from_when_it_is_free",
        ),
    ),
    3: (
        "a time of no length is refused at the form, the API and the database",
        (
            "gear/booking/test_interval.py::test_a_time_of_no_length_is_refused",
            "gear/booking/test_promise_units.py::test_the_database_refuses_a_booking_of_no_length",
            "gear/booking/test_promise_units.py::"
            "test_the_database_refuses_an_empty_range_which_would_slip_past_the_exclusion",
            "studio/shoots/test_shoot_pages.py::test_bad_input_keeps_what_was_typed_and_says_why",
            "studio/shoots/test_shoots_api.py::test_no_length_is_refused",
        ),
    ),
    5: (
        "of Allen's 13 relations four are accepted",
        ("gear/booking/test_promise_units.py::test_of_allens_thirteen_relations_four_are_accepted",),
    ),
    6: (
        "out with no return date blocks everything after, is looked at again, and is freed from the real return",
        (
            "gear/booking/test_no_return_date.py::"
            "test_without_a_return_date_everything_after_is_blocked_and_the_refusal_says_when_it_is_looked_at",
            "gear/booking/test_no_return_date.py::test_somebody_has_to_look_at_it_again_within_a_year",
            "gear/booking/test_no_return_date.py::test_closing_it_frees_from_the_real_return_plus_turnaround",
            "studio/shoots/test_no_return_date.py::test_over_the_api_it_has_no_end_and_a_review",
            "studio/shoots/test_no_return_date.py::test_on_its_day_it_stands_on_the_first_page",
        ),
    ),
    7: (
        "an imported end that is a day is included",
        (
            "gear/booking/test_imported.py::test_until_31_march_ends_on_1_april_at_midnight_of_the_place",
            "studio/shoots/test_import_shoots.py::test_until_31_march_is_stored_as_1_april_midnight",
        ),
    ),
    8: (
        "what is read and written back changes nothing; seconds are cut before anything is compared",
        (
            "studio/shoots/test_shoots_api.py::test_writing_back_what_was_read_changes_nothing",
            "gear/booking/test_interval.py::test_seconds_are_cut_before_anything_is_compared",
        ),
    ),
    10: (
        "beyond the horizon, the year 1 and infinity are refused with the reason",
        (
            "gear/booking/test_interval.py::test_more_than_five_years_away_is_refused",
            "gear/booking/test_interval.py::test_the_first_and_the_last_year_of_the_calendar_are_refused",
            "gear/booking/test_interval.py::test_what_is_no_time_is_refused_with_an_example",
            "studio/shoots/test_shoots_api.py::test_bad_input_names_its_field",
        ),
    ),
    11: (
        "noon to noon over the change in spring is one day and 23 hours",
        (
            "gear/booking/test_lengths.py::"
            "test_a_day_of_hire_is_one_day_however_many_hours_the_clocks_make_of_it",
        ),
    ),
    12: (
        "noon to noon over the change in autumn is one day and 25 hours",
        (
            "gear/booking/test_lengths.py::"
            "test_a_day_of_hire_is_one_day_however_many_hours_the_clocks_make_of_it",
        ),
    ),
    14: (
        "a time that does not exist: the form offers the next one, an import reads it so and warns",
        (
            "studio/shoots/test_shoot_pages.py::"
            "test_a_time_that_does_not_exist_is_refused_beside_its_field_with_the_next_one",
            "studio/shoots/test_shoots_api.py::test_a_time_that_does_not_exist_gets_422_with_the_next_one",
            "gear/booking/test_imported.py::"
            "test_a_time_that_the_clocks_jump_over_is_read_as_an_hour_later_and_warned_about",
        ),
    ),
    15: (
        "of a time that happens twice the form asks, the first is meant by default",
        (
            "studio/shoots/test_shoot_pages.py::"
            "test_a_time_that_happens_twice_is_asked_about_with_the_first_marked",
            "gear/booking/test_wall_time.py::test_of_a_time_that_happens_twice_the_first_is_meant",
            "studio/shoots/test_shoots_api.py::test_a_time_that_happens_twice_means_the_first_unless_told",
        ),
    ),
    16: (
        "a night into the second of two lasts its elapsed time",
        ("gear/booking/test_lengths.py::test_overnight_into_the_second_of_two_lasts_its_elapsed_time",),
    ),
    17: (
        "turnaround passes in elapsed hours, nine o'clock is nine on the wall",
        (
            "gear/booking/test_more_hard_cases.py::"
            "test_turnaround_passes_in_elapsed_hours_and_nine_oclock_is_nine_on_the_wall",
        ),
    ),
    18: (
        "two zones are judged on instants, each said on its own clock",
        (
            "gear/booking/test_more_hard_cases.py::"
            "test_a_clash_between_lisbon_and_berlin_is_judged_on_instants_and_said_on_both_clocks",
        ),
    ),
    20: (
        "a studio that changes its zone leaves old bookings theirs",
        (
            "studio/shoots/test_edit_shoot.py::test_a_place_that_changes_its_zone_leaves_old_shoots_at_their_time",
        ),
    ),
    21: (
        "a day begins at its first instant",
        (
            "gear/booking/test_more_hard_cases.py::"
            "test_a_day_begins_at_its_first_instant_where_midnight_does_not_exist",
            "studio/calendar/test_span.py::"
            "test_in_every_zone_every_day_begins_where_the_date_on_the_wall_changes",
        ),
    ),
    23: (
        "whole days end on the day after in iCalendar",
        ("studio/calendar/test_feed.py::test_whole_days_are_dates_and_the_end_is_the_day_after",),
    ),
    24: (
        "in every zone the parts of local days add up to what passes",
        (
            "gear/booking/test_wall_time.py::"
            "test_in_every_zone_the_quarters_of_an_hour_of_each_local_day_add_up_to_its_length",
        ),
    ),
    25: (
        "six and six that only meet are accepted of ten",
        (
            "gear/stock/test_promise_stock.py::"
            "test_six_and_six_that_only_meet_are_accepted_for_the_peak_is_six",
        ),
    ),
    26: (
        "six and five that overlap are refused with what is free on which day",
        (
            "gear/stock/test_promise_stock.py::"
            "test_six_and_five_that_overlap_are_refused_with_what_is_free_on_which_day",
            "gear/stock/test_stock_pages.py::test_the_api_says_what_is_free_on_which_day",
        ),
    ),
    29: (
        "a purchase counts from its day",
        ("gear/stock/test_promise_stock.py::test_a_purchase_raises_the_number_on_its_day_and_not_before",),
    ),
    30: (
        "a break is a fact; the lowest claim goes short and nothing is deleted",
        (
            "gear/shortages/test_open_shortage.py::"
            "test_of_ten_two_break_while_nine_are_promised_and_one_is_short",
            "gear/shortages/test_open_shortage.py::"
            "test_the_lowest_claim_goes_short_a_hold_before_what_is_confirmed_and_the_later_before_the_earlier",
        ),
    ),
    31: (
        "what is used up is gone, and later promises are asked again",
        (
            "gear/stock/test_count.py::test_used_up_things_are_fewer_and_later_promises_see_it",
            "gear/shortages/test_open_shortage.py::test_used_up_tape_leaves_a_later_job_short",
            "studio/packing/test_count_stock.py::test_used_and_lost_ones_are_counted_once_from_one_page",
        ),
    ),
    33: (
        "overbooking is a setting of an item, accepted with a flag",
        (
            "gear/stock/test_promise_stock.py::test_overbooking_is_a_setting_of_an_item_in_whole_things",
            "gear/shortages/test_open_shortage.py::test_what_is_overbooked_on_purpose_is_flagged",
        ),
    ),
    34: (
        "a quantity that cannot be is refused with 422",
        (
            "gear/stock/test_promise_stock.py::test_a_quantity_that_cannot_be_is_refused",
            "gear/stock/test_stock_pages.py::test_the_api_refuses_a_quantity_that_cannot_be",
            "studio/shoots/test_stock_of_shoot.py::test_what_cannot_be_is_said_and_what_was_typed_is_kept",
        ),
    ),
    35: (
        "of 32 who want one of ten exactly ten get one",
        ("race/test_the_races_go_red.py::test_as_it_is_a_race_finds_nothing",),
    ),
    36: (
        "any of a model sees tagged and counted ones",
        ("gear/stock/test_promise_stock.py::test_any_of_a_model_sees_tagged_and_counted_ones",),
    ),
    38: (
        "two lines of one item are added before the check",
        ("gear/stock/test_promise_stock.py::test_two_lines_of_one_item_are_added_before_the_check",),
    ),
    40: (
        "any unit is found by moving another promise",
        (
            "gear/booking/test_any_unit.py::test_where_none_is_free_the_second_moves_to_the_first_unit",
            "studio/shoots/test_around.py::test_any_unit_is_promised_and_the_jobs_of_who_is_exchanged_follow",
        ),
    ),
    41: (
        "a pinned unit is not moved, and that is what is said",
        (
            "gear/booking/test_any_unit.py::test_a_pinned_unit_is_not_moved",
            "studio/shoots/test_around.py::"
            "test_what_must_be_this_very_unit_is_not_exchanged_and_the_page_says_why",
        ),
    ),
    43: (
        "a kit with a part missing is not booked, or with a named substitute after consent",
        (
            "gear/kits/test_promise_kit.py::"
            "test_with_one_part_missing_nothing_is_promised_and_a_substitute_is_named",
            "gear/kits/test_promise_kit.py::"
            "test_after_consent_the_named_substitute_goes_instead_and_it_stays_written",
            "studio/shoots/test_stock_of_shoot.py::"
            "test_a_kit_with_a_part_missing_offers_a_stand_in_as_a_button",
        ),
    ),
    45: (
        "a loop of kits is refused when it is saved",
        (
            "gear/kits/test_save_kit.py::"
            "test_a_kit_that_contains_one_that_contains_it_is_refused_and_nothing_is_saved",
            "gear/kits/test_kit_pages.py::test_a_loop_is_a_sentence_on_the_page",
            "race/test_kits.py::test_two_edits_at_once_do_not_close_a_loop",
        ),
    ),
    46: (
        "a booking keeps its snapshot of a kit; taking it over is a new check",
        (
            "gear/kits/test_promise_kit.py::test_a_booking_keeps_its_snapshot_and_is_shown_the_difference",
            "gear/kits/test_promise_kit.py::"
            "test_taking_the_new_contents_over_is_a_new_check_that_may_fail_and_then_changes_nothing",
        ),
    ),
    47: (
        "a part that is lent out makes the kit incomplete for that time only",
        (
            "gear/kits/test_promise_kit.py::"
            "test_a_part_that_is_lent_out_makes_the_kit_incomplete_for_that_time_only",
        ),
    ),
    48: (
        "one of these three is one demand over three pools",
        ("gear/kits/test_promise_kit.py::test_one_of_these_three_is_one_demand_over_three_pools",),
    ),
    50: (
        "a unit is never in two cases; the second scan asks",
        (
            "gear/inventory/test_put_into_case.py::test_the_second_scan_asks_and_moves_only_when_told",
            "gear/inventory/test_put_into_case.py::"
            "test_the_page_asks_before_a_unit_moves_from_one_case_to_another",
        ),
    ),
    51: (
        "of a kit that is partly back the parts are free after their turnaround",
        (
            "gear/kits/test_promise_kit.py::"
            "test_parts_that_are_back_are_free_after_their_turnaround_and_the_kit_is_not",
            "studio/packing/test_back_early.py::test_a_kit_partly_back_frees_its_parts_and_is_not_whole",
        ),
    ),
    52: (
        "a borrowed unit is booked inside its window less travel",
        (
            "gear/subhire/test_borrow_unit.py::test_outside_it_is_refused_with_the_owner_and_the_hours",
            "gear/subhire/test_borrow_unit.py::"
            "test_an_extension_beyond_the_owners_date_is_refused_and_says_until_when",
        ),
    ),
    53: (
        "weight and size of a case over the limit warn at planning",
        (
            "recipes/checks/test_case_weight.py::test_by_air_the_whole_piece_counts",
            "recipes/checks/test_case_size.py::"
            "test_an_oversize_case_warns_before_the_door_and_says_what_to_do",
        ),
    ),
    54: (
        "for a tight follow-on what turns around sooner comes first",
        (
            "gear/booking/test_free_units.py::"
            "test_for_a_tight_follow_on_the_unit_that_turns_around_sooner_comes_first",
        ),
    ),
    56: (
        "gear that stays on set has no turnaround in between, and its inspection stays due",
        (
            "gear/booking/test_granted_minutes.py::"
            "test_gear_that_stays_on_set_needs_no_turnaround_when_the_same_people_go_on",
            "studio/shoots/test_around.py::"
            "test_an_inspection_that_is_due_stays_due_when_the_turnaround_is_waived",
        ),
    ),
    57: (
        "a changed setting leaves what is promised, and lists what would clash",
        (
            "gear/booking/test_move_booking.py::"
            "test_existing_bookings_keep_the_turnaround_they_were_made_with",
            "gear/booking/test_granted_minutes.py::"
            "test_a_longer_turnaround_lists_what_would_clash_and_changes_nothing",
            "studio/shoots/test_around.py::"
            "test_a_longer_turnaround_lists_what_would_clash_on_the_page_of_the_type",
        ),
    ),
    59: (
        "minutes are granted by role and with a reason, on the list and in the history",
        (
            "studio/shoots/test_around.py::test_only_the_manager_grants",
            "studio/shoots/test_around.py::test_a_grant_is_printed_on_the_packing_list_with_role_and_reason",
            "studio/shoots/test_around.py::test_a_grant_stands_in_the_history_with_who_and_why",
        ),
    ),
    61: (
        "a 2nd hold is accepted, keeps nobody away, and shows its rank",
        (
            "gear/booking/test_wait_in_line.py::test_a_second_hold_is_accepted_with_its_rank",
            "gear/booking/test_wait_in_line.py::test_a_second_hold_keeps_nobody_away",
            "studio/shoots/test_wait_in_line.py::test_the_list_of_shoots_shows_the_worst_rank",
        ),
    ),
    62: (
        "the second moves up once and is told once",
        (
            "gear/booking/test_promotion.py::test_the_second_moves_up_once_when_the_first_goes",
            "race/test_move_up.py::test_sweeps_at_the_same_moment_move_up_once_and_write_once",
        ),
    ),
    63: (
        "a second before its end a hold confirms, at its end it is a fresh check",
        (
            "gear/booking/test_firmness.py::test_a_hold_confirms_a_second_before_its_end",
            "gear/booking/test_firmness.py::test_at_its_end_a_hold_is_a_fresh_check_that_may_fail",
        ),
    ),
    65: (
        "four working hours lapse at the exact working time",
        ("studio/shoots/test_ask_to_decide.py::test_four_working_hours_later_it_ends_at_the_exact_moment",),
    ),
    66: (
        "of two who confirm in one moment one wins",
        ("race/test_last_unit.py::test_of_two_ended_holds_confirmed_in_the_same_moment_one_wins",),
    ),
    68: (
        "cancelling frees with turnaround, again the same, and the feed says so",
        (
            "gear/booking/test_firmness.py::test_cancelling_frees_the_unit_with_its_turnaround",
            "studio/shoots/test_shoots_api.py::test_cancelling_twice_gives_the_same_answer",
            "studio/calendar/test_feed.py::"
            "test_cancelling_and_taking_up_again_each_rise_the_sequence_under_the_same_name",
        ),
    ),
    69: (
        "taking a cancelled booking up again is a fresh check",
        ("gear/booking/test_firmness.py::test_taking_a_cancelled_booking_up_again_may_fail",),
    ),
    70: (
        "a later return into the next booking is refused with an earlier end, a swap and borrowing",
        (
            "gear/booking/test_lateness_and_changes.py::"
            "test_a_later_return_into_the_next_booking_offers_an_earlier_end_a_swap_and_to_borrow",
            "studio/shoots/test_shoots_api.py::test_moving_into_another_booking_gets_409_and_moves_nothing",
        ),
    ),
    71: (
        "what is out and kept is overdue, and the next is at risk with an owner",
        (
            "gear/shortages/test_open_shortage.py::test_a_late_return_leaves_the_next_short_and_moves_nobody",
            "studio/packing/test_count_stock.py::"
            "test_what_is_out_too_long_leaves_the_next_short_by_the_clock_and_back_again_settles_it",
        ),
    ),
    72: (
        "lateness goes through turnaround, in order of time, with substitutes",
        (
            "gear/booking/test_more_hard_cases.py::"
            "test_six_hours_late_puts_the_next_at_risk_and_asks_the_one_after_again_in_order_of_time",
            "gear/shortages/test_shortage_pages.py::"
            "test_what_is_at_risk_is_listed_in_order_of_time_with_what_could_go_instead",
        ),
    ),
    73: (
        "early is free from the real return and turnaround",
        (
            "gear/booking/test_lateness_and_changes.py::"
            "test_a_unit_that_came_back_early_is_free_after_its_turnaround",
            "studio/packing/test_back_early.py::test_free_from_the_real_return_plus_turnaround",
        ),
    ),
    75: (
        "a chain shifts in one step",
        (
            "gear/booking/test_move_booking.py::"
            "test_a_chain_of_back_to_back_bookings_shifts_by_an_hour_in_one_step",
            "studio/shoots/test_split_and_merge.py::test_a_chain_of_shoots_back_to_back_shifts_in_one_step",
        ),
    ),
    76: (
        "a shorter end leaves facts as they were logged",
        (
            "gear/booking/test_lateness_and_changes.py::test_a_new_end_leaves_the_logged_return_as_it_was",
            "studio/shoots/test_edit_shoot.py::test_shortening_a_running_shoot_changes_its_planned_end_only",
        ),
    ),
    77: (
        "the second of two editors gets 412 and a merge page",
        (
            "studio/shoots/test_merge_edits.py::"
            "test_the_second_sees_both_changes_with_412_and_nothing_is_saved",
            "studio/shoots/test_shoots_api.py::test_a_change_made_from_an_old_version_gets_412",
        ),
    ),
    79: (
        "another place is another way, and new clashes are listed",
        (
            "studio/shoots/test_travel_to_place.py::"
            "test_a_place_that_makes_units_clash_is_refused_with_every_one_of_them",
        ),
    ),
    81: (
        "64 clients for the last unit: one 201, 63 times 409",
        ("race/test_last_unit.py::test_over_http_one_gets_201_and_all_others_409_with_who_has_it",),
    ),
    82: (
        "kits in opposite order meet no deadlock",
        ("race/test_kits.py::test_two_kits_that_name_the_same_parts_in_opposite_order_meet_no_deadlock",),
    ),
    83: (
        "a line cut after the commit and the same again is one booking",
        (
            "studio/once/test_at_the_same_time.py::"
            "test_a_line_cut_before_the_answer_and_the_same_again_makes_one",
            "studio/once/test_at_the_same_time.py::"
            "test_a_server_killed_between_commit_and_answer_has_kept_the_answer",
        ),
    ),
    84: (
        "another body under a key is 422, a key in progress 409",
        (
            "studio/once/test_repeat_a_request.py::"
            "test_another_body_under_the_same_key_is_refused_and_not_done",
            "studio/once/test_at_the_same_time.py::test_a_key_that_is_being_worked_on_is_refused_at_once",
        ),
    ),
    85: (
        "packed twice offline both facts stay, and a third scan settles",
        (
            "studio/packing/test_packed_twice.py::test_both_facts_are_kept_and_the_second_is_told",
            "studio/packing/test_packed_twice.py::test_a_third_scan_settles_where_it_really_is",
        ),
    ),
    87: (
        "an act sent five times has one effect; seven waits for six",
        (
            "studio/phones/test_send.py::test_sent_five_times_it_has_one_effect_and_one_answer",
            "studio/phones/test_send.py::test_seven_waits_for_six_while_the_phone_has_it",
            "studio/phones/test_send.py::"
            "test_what_the_phone_does_not_have_any_more_is_marked_as_a_gap_and_the_rest_goes_on",
        ),
    ),
    88: (
        "a withdrawn right: what was before is looked at, what was after is refused and kept",
        (
            "studio/phones/test_rights.py::test_before_the_right_was_withdrawn_it_is_a_fact_to_be_looked_at",
            "studio/phones/test_rights.py::test_after_it_was_withdrawn_it_is_refused_and_kept",
        ),
    ),
    90: (
        "200 acts of an older program are taken",
        (
            "studio/phones/test_send.py::"
            "test_two_hundred_unsent_acts_of_an_older_program_are_taken_in_one_sending",
            "studio/phones/test_send.py::test_acts_in_older_formats_are_done_as_they_were_meant",
        ),
    ),
    91: (
        "of a lost phone the last synced point is shown, and a case is counted again from paper",
        (
            "studio/phones/test_send.py::test_the_server_shows_the_last_synced_point_of_each_phone",
            "studio/phones/test_look_at.py::test_the_page_shows_what_is_open_and_the_last_synced_point",
            "studio/packing/test_recount.py::test_what_is_ticked_is_packed_and_the_rest_is_named",
        ),
    ),
    92: (
        "eight of ten back: two stay blocked, listed with person and time",
        (
            "studio/packing/test_count_stock.py::test_eight_of_ten_back_and_two_stay_blocked",
            "studio/packing/test_recount.py::test_everything_that_is_out_with_whom_and_until_when",
        ),
    ),
    94: (
        "an unknown code goes to the found tray and makes nothing",
        (
            "studio/packing/test_tick.py::test_an_unknown_tag_goes_to_the_found_tray_and_makes_nothing",
            "studio/phones/test_send.py::test_an_unknown_code_goes_to_the_found_tray_and_no_unit_is_made",
        ),
    ),
    95: (
        "eleven back of ten stops",
        (
            "gear/stock/test_count.py::test_eleven_back_of_ten_stops_and_saves_nothing",
            "studio/packing/test_count_stock.py::test_eleven_back_of_ten_stops_with_a_sentence_on_the_list",
        ),
    ),
    96: (
        "damage is quarantine at once, and only an allowed person's inspection ends it",
        (
            "studio/phones/test_damage.py::"
            "test_quarantine_at_once_and_every_coming_shoot_is_checked_again_and_its_owner_told",
            "studio/phones/test_damage.py::"
            "test_it_does_not_leave_until_the_manager_has_recorded_an_inspection",
        ),
    ),
    97: (
        "a due inspection warns at booking, stops at the door, and counts from the day it was done",
        (
            "studio/packing/test_out_of_the_store.py::"
            "test_a_due_inspection_is_said_when_the_unit_is_chosen_and_on_the_desk",
            "studio/packing/test_out_of_the_store.py::"
            "test_a_due_inspection_is_said_over_the_api_and_of_spares",
            "studio/packing/test_travels_of_a_unit.py::"
            "test_a_unit_whose_inspection_falls_due_during_the_shoot_is_stopped_at_the_door",
            "gear/inventory/test_inspections.py::"
            "test_an_inspection_entered_on_thursday_but_done_on_monday_counts_from_monday",
        ),
    ),
    99: (
        "a job closes only when out is in, used or reported with reason and name",
        (
            "studio/packing/test_tick.py::test_a_list_closes_only_when_out_is_in_used_or_reported",
            "studio/packing/test_tick.py::test_what_is_missing_is_reported_with_a_reason_and_who_said_so",
        ),
    ),
    100: (
        "a series books all or nothing, keeps its names, its wall times, and goes on by night",
        (
            "studio/shoots/test_repeat_shoot.py::"
            "test_when_the_third_clashes_nothing_is_booked_and_it_is_said_who_has_it_until_when",
            "studio/shoots/test_repeat_shoot.py::"
            "test_leaving_out_what_clashes_books_nine_and_keeps_the_third_with_its_reason",
            "studio/shoots/test_repeat_shoot.py::test_nine_oclock_stays_nine_over_both_changes_of_the_clocks",
            "gear/booking/test_series_rule.py::test_monthly_on_the_31st",
            "studio/shoots/test_repeat_shoot.py::test_monthly_on_the_31st_moves_back_when_that_was_chosen",
            "studio/calendar/test_feed_of_series.py::test_a_change_of_all_keeps_every_name",
            "studio/shoots/test_repeat_shoot.py::test_an_endless_series_is_booked_for_eighteen_months",
            "studio/shoots/test_extend_series.py::"
            "test_a_day_that_clashes_is_kept_with_its_reason_and_its_owner_is_told_once",
            "studio/shoots/test_repeat_shoot.py::test_an_exception_does_not_collide_with_its_own_series",
        ),
    ),
}
"""Number → rule, and the tests that hold it."""
