# English, complete. One message a key; keys: action_, common_, screen_NAME_, error_, a11y_,
# shell_, role_, help_. Numbers and units arrive joined by a no-break space.

# Actions: what a finger does
action_about_page = About this page
action_abandon = Give this hold up
action_add = Add
action_add_member = Add a crew member
action_add_reading = Add the reading
action_all_steps = All steps
action_at_rig = { $rig }: { $label }
action_ask_another = Ask another to look
action_ask_to_look = Ask { $name } to look
action_bring_everything = Bring in a file of everything
action_change = Change
action_phone_entries = Its entries
action_phone_look = Look at it
action_change_lens = Change the lens
action_change_plan = Change the planned dive
action_close_defect = Put it right
action_closed = Mark { $name } closed
action_defect_closed = Record it put right
action_conclude = End the hold with this verdict
action_conclude_open = End without a verdict
action_copy_rig = Copy this rig
action_crew = Crew
action_done = Done
action_edit_rig = Edit the rig
action_days_all = Show everything
action_days_filter = Show only some
action_days_show = Show
action_every_entry = Every entry, one by one
action_end_prep_early = End this prep here
action_end_prep = End the prep
action_fit_new = Fit a new ring
action_go_on = Go on: { $title }
action_go_on_hold = Go on with the hold
action_hand_over = Hand over
action_hold_phone = { $name } holds the phone
action_it_fails = It does not work
action_it_works = It works
action_join_crew = Join a crew: bring in its file
action_journal = Journal
action_judge_readings = Judge with all its readings
action_judge_again = Judge it again
action_keep = Save
action_keep_everything = Keep everything in a file
action_log_dive = Log a dive
action_make_rig = Make the rig
action_new_rig = New rig
action_next_step = Next step
action_next_named = Next: { $name }
action_new_ring_in = A new ring: { $name }
action_note_defect = Note a defect
action_note_finding = Note what was found
action_off_the_rig = Record it off the rig
action_open_enclosure = Open { $name }
action_open_named = { $name }
action_open_rig = Open the rig
action_open_seal = Open the seal
action_open_step = Open the step
action_first = First: { $title }
action_looked_inside = Record a look inside { $name }
action_nothing_to_compare = Go on: nothing to compare with
action_close_all_the_same = Close it all the same
action_open_and_look = Open { $name } and look at its seals
action_look_outside_and_hold = Look at hose, fitting and valve, and hold again
action_hold_again = Hold again
action_plug_out = Record the plug out
action_opened = Record it open
action_own_phone = Make it mine: nobody else signs on it
action_plug_on = Record the plug in: { $name }
action_plug_off = Record the plug out: { $name }
action_inspected = Record it looked over
action_inspect = Look it over
action_gauge_steps = The gauge shows steps of { $steps }
action_gauge_steps_stand = It shows { $steps }; it just stood there
action_answer_fault = Say what became of it
action_answer_unread = Say what it was
action_read = That is what it reads
action_recheck = Deck recheck
action_mistyped = I mistyped it
action_remove = Take it off the rig
action_rename = Name and note
action_reopen = Open this step again
action_wrong_here = Something is wrong here
action_resume = Go on
action_retire_rig = Retire this rig
action_say_age = Say how old the ring is
action_say_who = Say who holds the phone
action_begin = Begin: say who you are
action_begin_later = Leave the rig for later
action_begin_no_gauge = Go on without a gauge on record
action_begin_save = Save and go on
action_begin_to_gauge = Go on to the gauge
action_begin_to_rig = Go on to the first rig
action_begin_to_rigs = Go to the rigs
action_seal_back = Clean, greased, back in
action_seals = Seals
action_see_hold = See the hold
action_see_proof = See what proves { $name }
action_service_named = Service { $name }
action_service_seal = Service it
action_set_air = This is the air now
action_set_aside = Set aside
action_skip = Skip this step
action_start = Start
action_start_build = Build and prove
action_start_hold = Start a hold
action_start_named = Start: { $title }
action_test_controls = Test the controls
action_tick = Confirm
action_to_rig = To the rig
action_untick = Take back
action_use_again = Use it again
action_valve_closed = Start with the valve closed
action_walked_round = Record the walk: all as it should be
action_answer = That is my answer
action_add_gauge = Add a gauge
action_compare_gauges = Compare two gauges
action_choose_water = Choose the water
action_edit_parts = Parts, points and weights
action_hang = Record what hangs there
action_hang_all = Record all of it hung
action_hang_otherwise = Something else hangs
action_keep_trim = Record it trimmed like this
action_learn = Learn from it
action_list_parts = List the parts
action_saw_in_water = Seen in the water
action_take_back = Take it back
action_this_water = This is the water
action_trim = Trim
action_trimmed_by_hand = Record it trimmed without the list
action_trim_aim = How heavy it is to be
action_weigh = Weigh it in air and in water
action_what_if = What if
action_measure_known = Measure it with a rigid bottle
action_measure_strokes = Measure it by pump strokes
action_estimate_volume = Estimate it from the rig
action_bring_hold = Look at a logged hold from a file
action_keep_good_rows = Take the good rows
action_drop_file = Leave this file
action_hand_over_hold = Hand on as a file
action_box = The box of rings
action_change_shoot = Change the planned shoot
action_cleaned = Cleaned
action_count_rings = Count them
action_counted = That is what I counted
action_edit_seal = Edit the seal
action_find_size = Find the size
action_gland = Its gland
action_greased = Greased
action_keep_plan = Keep the plan
action_leave_service = Leave the service
action_look_again = I looked again: it is not so
action_look_again_alone = Look again, alone
action_look_and_sign = Look and sign
action_measure_ring = Find the size by measuring
action_measure_syringe = Measure it with a syringe
action_plan_shoot = Plan a shoot
action_ring_elsewhere = A new ring, not from the box
action_ring_out = The ring is out
action_same_ring = The same ring is back in
action_same_ring_bad = The old ring went back
action_same_ring_note = The same ring, with a note
action_service_steps = Service it one thing at a time
action_set_size = Its size is { $size }
action_sign_alone = I looked again: sign on my word alone
action_sign_as = I am { $name }, I looked: sign
action_spares = Rings for a shoot
action_stock_rings = Put rings in the box
action_take_ring = Take one out

# Numbers: the sign before the parts of one, '.' or ',' (Unicode CLDR, numbers of 'en')
number_decimal = .
# Regions that write the other of the two in this language
number_decimal_other = AT BE CZ DE DK EE ES FI FR GE HU ID IT LT LV NL NO PL PT RO SE SI SK UA ZA

# Said in many places
common_ago = { $time } ago
common_and = { $first } and { $last }
common_or = { $first } or { $last }
common_clock_ahead = { $time } ahead
common_clock_back = { $time } back
common_clock_set = the phone's clock was set { $by }
common_clock_set_spans = The phone's clock was set { $by } on the way. Times here are taken from the clock that runs since the phone was switched on, which nobody can set.
common_give_or_take = give or take { $amount }
common_just_now = just now
common_language = English
common_note = Note
common_photo_damaged = This photo's file is damaged
common_call_kind = Readings that are due
common_call_text = The vacuum hold on { $rig } wants its next reading.
common_call_title = Read the gauge of { $name }
common_phone_battery = This phone's battery is at { $charge } and not being charged. The hold goes on without it; its readings and its calls do not.
common_phone_full = This phone's storage is full: { $left } are left. Make room now, or what you record next may not be kept; you will be told then.
common_phone_late = While Slackwater is put away, this phone may call for a reading some minutes late: it allows no exact alarm. Its settings for alarms can allow it.
common_phone_nearly_full = This phone's storage is nearly full: { $left } are left. Photos need the most; make room before the next.
common_phone_silent = This phone shows no notifications of Slackwater: while it is put away, nothing calls for the next reading. Its settings for notifications can allow them.
common_photo_kept = Photo kept
common_photo_missing = This photo's file is missing on this phone
common_photo_no_note = Photo
common_somebody = nobody named
common_span_at_least = { $least } at least
common_span_unsure = The phone was restarted between two readings, or another phone read: { $likely } went by if its clock was right, { $least } at least. Only what holds for both counts.
common_time_on_day = { $time } on { $day }
common_undone = Taken back
common_vacuum_caveat = A vacuum hold proves the seals at a fraction of an atmosphere, and from the other side. It can't prove them at depth.
common_who_when = { $who }, { $when }

# What is wrong, and what to do
error_above_zero = It must be above zero
error_own_code = This phone shows that code itself. Read it with the other phone.
error_code_over = This code was to be read within 15 minutes. Have the other phone show a new one. If it was shown just now, one of the two clocks is wrong.
error_box_lacks = { $n ->
    [0] The box has no { $size } any more. Count them again.
    [one] The box has one { $size } only. Count them again.
   *[other] The box has { $n } { $size } only. Count them again.
}
error_absurd = That can't be right: { $why }
error_air_pressure = Between 500 and 1100 mbar; is the unit right?
error_air_temperature = Between −40 and 60 °C; is the unit right?
error_backup_read = Nothing was brought in: { $why }
error_backup_write = Not kept: { $why }
error_choice_wanted = Choose one
error_code_short = At least { $n } characters
error_code_wait = { $n ->
    [one] Too many wrong tries: wait a minute
   *[other] Too many wrong tries: wait { $n } minutes
}
error_code_wrong = That is not the code
error_controls_open = { $n ->
    [one] One control is still to be tried
   *[other] { $n } controls are still to be tried
}
error_days = Between 0 and 20000 days
error_enclosure_closed = { $name } is recorded as closed. Open it first.
error_enclosure_open = { $name } is recorded as open. Close it first.
error_look_inside = Water was found: open { $names } and look inside first.
error_gland_kind = Say how the gland squeezes the ring, or leave the dimensions empty
error_hold_ended = This hold has ended. Start a new one.
error_hold_running = A hold on { $name } is under way. End it first.
error_no_slip = Only who typed it can call it a slip, within five minutes. A change is answered by a new hold.
error_no_valve = { $name } has no vacuum valve, so it can't be proved
error_nobody_named = Say who holds the phone first: this is signed for by name
error_phone_too_long = What this phone wrote takes longer to take in than so many entries may. It is kept apart
error_not_a_number = That is not a number
error_not_alone = More than one is in the crew. Whoever left is marked so first
error_not_faulty = No bad ring is known to be in it
error_not_proved = { $name } is not proved: no hold counts since it was closed
error_not_retractable = This can't be taken back. New evidence answers it.
error_inside_shut = { $name } lies inside, and every housing is closed on record. If it was changed, open the housing on the rig's page first.
error_number_two_separators = Use one decimal sign and nothing between thousands
error_number_wanted = A number is wanted
error_other_screen = That belongs to another screen; nothing was done
error_outside_limits = Outside the limits. Look again; if it is so, skip the step with the reason.
error_parts_open = { $n ->
    [one] One part is still to be confirmed
   *[other] { $n } parts are still to be confirmed
}
error_only_screws = Only screws have this: leave it empty, or choose screws
error_other_phone = { $name } signs on a phone of their own, once that has heard of this
error_photo_wanted = This step asks for a photo
error_plug_off = The plug of { $name } is out. Refit it first.
error_seal_not_serviced = { $name } is to be serviced first: it was disturbed, or nobody has serviced it yet
error_prep_ended = This prep has ended
error_procedure_line = Line { $line }: { $why }
error_range = Between { $low } and { $high }; is the unit right?
error_reading_out_of_order = Earlier than the reading before it. Is the clock right?
error_reason_wanted = A reason is wanted
error_recheck_limit = Between 5 minutes and 24 hours
error_ring_must_be_replaced = A ring found like that must not go back. Service it one thing at a time: there a new one is fitted.
error_same_member = That takes another member: hand the phone over
error_step_not_done = The step is not done yet
error_steps_first = First: { $steps }
error_text_wanted = Something must stand here
error_open_wanted = Say what the gauge shows with the valve open
error_open_not_its_kind = The gauge chosen is on record as the other kind. Choose the gauge that is fitted, or put its record right.
error_doubt_no_zero = Neither nothing nor the air pressure: no gauge in order shows that with the valve open.
error_doubt_zero_off = That is far from what a gauge in order shows with the valve open.
error_doubt_deep = That is { $value } below the air outside, deeper than a hand pump draws a housing.
error_doubt_no_vacuum = That is no vacuum.
error_doubt_little = That is only { $value } below the air outside.
error_doubt_above = That is { $value } above the air outside, not below it.
error_doubt_fell = That is { $value } less vacuum than the reading before.
error_doubt_grew = That is { $value } more vacuum than the reading before. A closed housing draws none by itself.
error_doubt_less = That is { $value } less vacuum than it should be.
error_doubt_more = That is { $value } more vacuum than it should be. A closed housing draws none by itself.
error_doubt_jump = That is not where this gauge stood.
error_doubt_temperature = That is no usual temperature for a deck or a housing.
error_doubt_warmed = That is { $value } away from the reading before.
error_doubt_air = Air presses with 500 to 1085 mbar where people work.
error_doubt_air_unusual = The air presses so only high up in the mountains, or never.
error_doubt_air_moved = That is { $value } away from the barometer's reading before.
error_doubt_step = A gauge that a hold is read on goes in steps of { $fine } to { $coarse } { $unit }. The smallest step is wanted, not what it shows now; are the decimal point and the unit right?
error_doubt_rating = { $before } stood there. Are the unit and the number of digits right?
error_doubt_limit = It is more than a tenth of the { $volume } that it holds. Is the unit right?
error_doubt_volume = { $before } stood there. Is the decimal point right?
error_doubt_dive_longer = The plan is { $plan }: what was proved was proved for that time.
error_doubt_dive_open = Recorded as open: { $names }. If it went in like that, note the water as well.
error_doubt_dive_plan = The plan is { $plan }: what was proved was proved for that.
error_doubt_dive_rating = Deeper than the rating of { $names }: recorded so, it is out until somebody has looked it over.
error_lens_is_on = That lens is on. To take its port off and put it on again, open the closure.
error_doubt_dive_plug = The plug of { $names } is not recorded as in: a dive with it out floods.
error_doubt_dive_unproved = Not proved: { $names }. No hold counts for it.
error_doubt_deep_dive = Nothing on this rig is planned or rated for more than { $most }.
error_doubt_much = That is { $value } below the air outside, more than is drawn by custom.
error_slip_kind_absolute = An absolute gauge would show that: is it one?
error_slip_kind_below = A vacuum gauge, which shows nothing with the valve open, would show that: is it one?
error_slip_unit = In { $unit } it would fit: is the unit right?
error_slip_sign = Without the minus sign it would fit.
error_slip_decimal = Is the decimal point right?
error_slip_decimal_or_unit = Is the decimal point right, and the unit?
error_slip_another = It is what the gauge of { $name } showed last: is it that one?
error_slip_fahrenheit = In °F it would fit.
error_slip_celsius = In °C it would fit.
error_is_it_so = Is it so?
error_too_few_readings = Two readings are wanted before a hold can end
error_too_soon = { $n ->
    [one] Look again in a minute
   *[other] Look again in { $n } minutes
}
error_whole_number = A whole number is wanted
error_same_gauge = Choose two different gauges
error_file_too_large = That file is too large for a logged hold (8 MB at most)
error_inside_as_last_and_not = Say either that all is as last time, or each below: part of both would count half of it
error_fresh_photo = Take a new photo of it as it is now first
error_handed_in_empty = { $name } is empty
error_handed_in_hold = { $name } is a logged hold. Open 'Start a hold' of the enclosure that it belongs to, then hand it in again.
error_handed_in_large = { $name } is too large for a procedure (256 KiB at most)
error_handed_in_unknown = { $name } is nothing that Slackwater knows. It takes a file of everything, a procedure and a logged hold.
error_handed_in_unread = { $name } can't be read ({ $why })
error_file_no_text = That file is no text
error_humidity = Between 0 and 100 %
error_thermometer_error = Between 0.001 and 20 K; is the unit right?
error_barometer_error = Between 0.001 and 50 mbar; is the unit right?
error_phone_barometer = This phone's barometer does not answer. Type the pressure, or leave it out.
error_no_file_waits = No file waits any more. Choose it again.
error_hang_count = A whole number from 0 to 60
error_heavier_in_water = { $name } reads { $water } in water and { $air } in air. In water it must be less: are the two swapped, or does the sinker hang along?
error_impossible_lesson = What was seen would need { $name } to weigh or displace less than nothing. Look again at what hung, and at the figures of the parts.
error_level_amount = Leave this empty where it stayed as it was
error_no_attitude = The centres of mass and of buoyancy lie on one another in these figures, so the way it hung tells nothing. Give the parts their places.
error_no_code = { $name } has no code yet: hold the phone as { $name } and set one on the crew's page
error_nothing_seen = Say what was seen
error_nothing_to_sign = There is nothing to sign
error_nothing_uncertain = Every part is given as exactly known, so nothing can be learnt. Say how well the doubtful part is known.
error_salinity = Between 0 and 42
error_seen_amount = Not below zero, and not beyond what can be
error_water_depth = Between 0 and { $most }
error_water_temperature = Between { $low } and { $high } at this salinity
error_bulk = Between 0.1 and 1000000 MPa
error_percent = Between 0 and 100 %
error_bounds = { $low } to { $high } are possible
error_possible = { $low } to { $high } are possible
error_name_wanted = A name is wanted
error_too_long = At most { $n } characters are possible
error_names_nobody = This names nobody: who signs is somebody
error_name_taken = { $what } is in the crew already: one name, one person
error_screws_wanted = A closure with screws needs their number
error_warns_after_blocking = The limit that warns must not be above the one that blocks
error_size_twice = This size is in the box already
error_cured_ahead = { $what } lies in the future
error_cured_after_use = The ring is in use since { $what }, before that date
error_used_ahead = The ring can't be in use since a day that lies ahead
error_used_too_long = No ring is in use since so long ago
error_day = A day is written as year, month, day: 2026-06-03
error_coarser_only = Only coarser steps than were said are possible
error_which_way = Say which way
error_volume_far_off = { $found } comes out, and { $before } stood there. Is it the right way of measuring (a syringe gives its volume up, a bottle keeps it), the unit, the enclosure? If it is right, say so here.
error_put_back_in_use = { $name } was added in its place since: take that off first.
error_not_here = It is not here, or not any more: { $id }
error_figure_no_number = A figure is no number; nothing was recorded
error_no_enclosure = There is no enclosure '{ $what }'
error_no_lens = There is no lens '{ $what }'
error_no_part = There is no part '{ $what }'
error_no_closure = { $name } has no closure '{ $what }'
error_stand_in_for_stand_in = It can only stand in for a part that doesn't itself stand in for another
error_no_stand_in = '{ $what }' is no part that stands in for another
error_points_most = At most { $n } mounting points are possible
error_sizes_most = At most { $n } sizes are possible
error_room_most = { $here } weights on all mounting points; { $most } are possible
error_lens_closure = The closure that changing it opens is not on the rig
error_no_id = An id is 1 to 64 lower-case letters, digits or hyphens
error_id_twice = The id is used twice
error_no_squeeze = The gland is { $depth } deep and the ring's section { $section }: nothing would squeeze it
error_box_holds = The box holds { $n }, of which { $elsewhere } hang elsewhere
error_point_takes = { $name } takes { $n } in all; { $others } of another size hang there
error_not_on_rig = { $what } is not on the rig
# Errors: a file that was handed in
error_log_not_one = Line 1: '# hold-log: 1' is needed
error_log_version = Line 1: hold-log version { $version } is not known; version 1 is
error_log_key_missing = The key '{ $key }' is missing
error_log_key_twice = Line { $line }: the key '{ $key }' stands there twice
error_log_value = Line { $line }: '{ $key }' is '{ $value }': { $why }
error_log_between = { $low } to { $high } is allowed
error_log_up_to_the_volume = 0 up to the volume is allowed
error_log_above_zero = more than { $zero } is needed
error_log_words = { $words } is allowed
error_log_words_recheck = { $words } is allowed at a recheck
error_log_too_much = Line { $line }: { $what }; a log has at most { $most }
error_log_file_bytes = the file is longer than 8 MiB (bytes)
error_log_line_bytes = the line is too long (bytes)
error_log_keys = too many keys
error_log_columns = too many columns
error_log_rows_many = too many rows
error_log_rechecks = too many rechecks
error_log_wrong_rows = too many wrong rows
error_log_no_header = Line { $line }: a header row with time_s and gauge is needed
error_log_rows = { $n ->
    [one] 1 wrong row: { $rows }
   *[other] { $n } wrong rows: { $rows }
}
error_log_rows_more = and { $n } more
error_row_cells = { $here ->
    [one] 1 cell where the header has { $wanted }
   *[other] { $here } cells where the header has { $wanted }
}
error_row_empty = no { $column }
error_row_no_number = { $column } '{ $cell }' is not a number
error_row_outside = { $column } { $cell } is outside { $low } to { $high }
error_row_earlier = time_s { $time } is earlier than { $before } of line { $line }
error_slip_toml = this is not TOML ({ $said })
error_slip_file_long = it is { $kib } KiB long; a procedure has at most { $most } KiB
error_slip_utf16 = it is UTF-16 text; save it as UTF-8
error_slip_not_utf8 = byte { $byte } is not UTF-8 text; save the file as UTF-8
error_slip_missing = it is missing
error_slip_format_missing = it is missing; this description is format = { $known }
error_slip_format_below_one = it must be 1 or more
error_slip_format_newer = format { $found } is newer than this program, which reads up to { $known }; update the program
error_slip_form = it must be { $wanted }, but { $is } stands there
error_form_text = a text in quotes
error_form_word = a word in quotes
error_form_whole = a whole number
error_form_number = a number
error_form_flag = true or false
error_form_date = a date
error_form_list = a list in square brackets
error_form_texts = a list of texts in square brackets
error_form_steps = a list of tables, each begun by [[step]]
error_form_step = a table begun by [[step]]
error_form_measure = a table [step.measure]
error_form_table = a table
error_slip_no_steps = the procedure has no steps; start each with [[step]]
error_slip_steps = { $n } steps; a procedure has at most { $most }
error_slip_points = { $n } points; a step has at most { $most }
error_slip_never_applies = a step of kind "{ $kind }" never applies where "{ $only }" holds
error_slip_points_wanted = a seal step needs points: the parts of the service that are confirmed one by one
error_slip_each = a step of kind "{ $kind }" is done for each { $allowed }, not for each "{ $each }"
error_slip_word = "{ $word }" is unknown; it may be { $known }
error_slip_key = the key is unknown; there are { $known }
error_slip_twice = "{ $word }" stands twice
error_slip_never_both = "{ $one }" and "{ $other }" can never both hold, so the step would never be shown
error_slip_only_of_seals = "{ $word }" is a condition on seals; the step needs each = "seal"
error_slip_measure_wanted = a measure step needs [step.measure] with quantity and unit
error_slip_measure_not_here = only a step of kind "measure" may have it
error_slip_no_unit = "{ $unit }" is not a unit for { $quantity }; it may be { $units }
error_slip_min_above_max = min { $min } is greater than max { $max }
error_slip_not_finite = it must be a finite number
error_slip_same_id = the step on line { $line } has the same id
error_slip_no_step = there is no step "{ $id }"
error_slip_waits_for_itself = the step waits for itself
error_slip_waits = "{ $step }" waits for "{ $before }"
error_slip_circle = the steps wait for each other in a circle: { $chain }
error_slip_lone_brace = a brace stands alone; braces are for { $known }
error_slip_target_alone = { $braces } needs each to be "enclosure", "closure" or "seal"
error_slip_enclosure_alone = { $braces } needs each to be "closure" or "seal"
error_slip_screws_alone = { $braces } is for steps of kind "fasteners"
error_slip_unknown_braces = { $braces } is unknown; there are { $known }
error_slip_empty = it is empty
error_slip_too_long = it is { $n } characters long; at most { $most } fit
error_slip_control = it holds a control character
error_slip_slug = "{ $text }" must be small letters a to z, digits and single hyphens, beginning with a letter
# Errors: photos, the file of everything, the record's own file. What a system or a reader says itself is
# in brackets.
error_doing_reading = reading
error_doing_writing = writing
error_doing_making = making
error_doing_making_folder = making folder
error_doing_moving_photo = moving a photo to
error_doing_naming = naming
error_doing_syncing_folder = syncing folder
error_disk_full = no space left while { $doing } { $path }
error_disk_not_allowed = not allowed: { $doing } { $path } ({ $said })
error_disk_failed = failed { $doing } { $path } ({ $said })
error_photo_empty = the photo is empty: it has 0 bytes
error_photo_too_large = the photo is too large: { $size }, the limit is { $limit }
error_photo_kind = not a photo: it begins with { $start }, which is neither JPEG, PNG nor HEIF
error_photo_name = '{ $text }' is not a photo's hash: 64 hexadecimal digits are expected
error_photo_no_file = { $path } is not a file
error_photo_missing = the photo is not on this phone
error_photo_damaged = the photo is damaged: its bytes are no longer those that were stored
error_photo_unread = the photo can't be read ({ $said })
error_photo_no_thumbnail = no thumbnail can be made of a { $kind } file
error_photo_pixels = the photo has { $w } × { $h } pixels: more than the { $limit } that are decoded
error_photo_undecodable = the photo can't be decoded ({ $said })
error_photo_keeps_place = from a { $kind } file the location can't be removed
error_photo_tells_place = the location can't be removed: the picture's own data still looks as if it told a place
error_photo_build = the location can't be removed: from byte { $at } on the file isn't built as its kind demands
error_backup_no_zip = this is not a file of everything ({ $said })
error_backup_no_about = this is not a file of everything: it doesn't say what it is
error_backup_called = this is not a file of everything: its format is called '{ $name }'
error_backup_newer = a newer version wrote this file: it has format { $found }, known here is { $known }
error_backup_part = { $part }: { $why }
error_backup_line = events.jsonl, line { $line }: { $why }
error_backup_unread = it can't be read ({ $said })
error_backup_other_photo = its content is not that of its name
error_backup_too_much = it is more than a phone can take: { $what }
error_too_much_parts = it has more than { $n } parts
error_too_much_photos = its photos unpack to more than the { $mib } MiB that a file of its size may hold
error_too_much_events = its events unpack to more than a file of its size may hold
error_too_much_time = taking it in takes longer than so many entries may
error_line_hex = { $field } is not { $digits } hexadecimal digits
error_line_body_hex = body_hex is not hexadecimal
error_line_body = it has not exactly one of body and body_hex
error_line_number = its number is out of range
error_line_heard = heard: '{ $text }' is no event
error_line_too_long = the line is too long
error_line_ends_early = the file ends after { $here } of { $wanted } events
error_given_up = it was given up
error_entry_content = entry { $entry }: its content is not what was signed
error_entry_signature = entry { $entry }: its signature is not the phone's
error_entry_devices = entry { $entry }: it names more phones than any crew has
error_entry_gap = entry { $entry }: that phone's entries from { $from } on are missing
error_journal_busy = another program has { $path } open
error_journal_newer = { $path } was written by a newer version (file version { $found }, this program knows { $known })
error_journal_not_writable = { $path } can't be written ({ $said })
error_journal_replaced = { $path } can't be written: it was taken away or replaced while it was open
error_journal_full = the storage is full; nothing was recorded
error_journal_damaged = { $path } is damaged ({ $why })
error_journal_failed = the record can't be used now ({ $said })
error_damage_empty = the file is empty
error_damage_no_database = { $n } bytes are no database
error_damage_cut = { $here } bytes of { $wanted } are there
error_damage_no_key = { $n } bytes that are no key
# Errors: o-rings
error_ring_unknown_size = AS568 has no size '{ $given }' among the { $n } known here (001 to 475; fitting sizes 9xx are left out)
error_ring_no_size = '{ $given }' is no size; write it as AS568-258 or as 151.99 x 3.53 mm
error_ring_ambiguous = '{ $given }' may be AS568-{ $dash } or an inside diameter in mm; write AS568-{ $dash }, or inside x section in mm
error_ring_cure_date = '{ $given }' is no cure date; write it as 2Q25 or as 2025-05
error_ring_range = { $what } { $value }; { $bounds }
error_ring_groove = The groove is { $width } wide, narrower than the ring's section of { $section }
error_ring_material = No material '{ $given }' among { $known }
error_ring_date = Counting { $years } years from { $from } leaves the calendar
error_length_inside = inside diameter
error_length_inside_sd = uncertainty of the inside diameter
error_length_section = section
error_length_section_sd = uncertainty of the section
error_length_seat = seat diameter
error_length_depth = gland depth
error_length_width = groove width
# Errors: trim
error_trim_range = { $what } { $value }; { $bounds }
error_trim_of_rig = the whole rig
error_trim_of_water = the water
error_trim_of_scale = the scale
error_trim_count = { $what } (number { $index }) is { $value }; { $low } to { $high } are possible
error_trim_correlation = mass and volume of { $of } can't be correlated by { $value }
error_trim_covariance = what is known of the parts together does not fit the parts
error_trim_hanging_shape = what hangs now does not fit the mounting points and the sizes in the box
error_quantity_mass = mass
error_quantity_mass_sd = mass uncertainty
error_quantity_volume = volume
error_quantity_volume_sd = volume uncertainty
error_quantity_centre_mass = centre of mass
error_quantity_centre_volume = centre of volume
error_quantity_centre_sd = centre uncertainty
error_quantity_bulk = bulk modulus
error_quantity_gas = gas share
error_quantity_in_air = weight in air
error_quantity_in_water = weight in water
error_quantity_sinker = weight of the sinker in water
error_quantity_reading_sd = reading uncertainty
error_quantity_density = density
error_quantity_density_sd = density uncertainty
error_quantity_water_density = water density
error_quantity_water_density_sd = water density uncertainty
error_quantity_air_density = air density
error_quantity_sea_pressure = sea pressure
error_quantity_net = net force
error_quantity_pitch = pitch
error_quantity_roll = roll
error_quantity_seen_sd = uncertainty of what was seen
error_quantity_position = position
error_quantity_load = load limit
error_quantity_target = target
error_quantity_net_tolerance = net tolerance
error_quantity_level_tolerance = level tolerance
error_quantity_acceptable_net = acceptable net
error_quantity_acceptable_angle = acceptable angle
error_count_pitch_moment = pitch moment
error_count_roll_moment = roll moment
error_count_force = force of weight
error_count_mass = mass of weight
error_count_stock = stock of weight
error_count_x = x of mounting point
error_count_y = y of mounting point
error_count_capacity = capacity of mounting point
error_count_load = load limit of mounting point
error_count_capacity_all = capacity of all mounting points
error_count_hanging = pieces hanging
error_count_hanging_all = pieces hanging on the rig
# Errors: holds
error_why_above_zero = more than 0 is needed
error_why_not_below_zero = 0 or more is needed
error_why_no_number = a number is needed
error_why_no_time = seconds since the valve was closed are needed
error_why_contents = the contents are larger than the enclosure
error_why_too_near = the readings lie too near each other: more vacuum, or more air at once
error_why_air_took = the air must have taken off some of the vacuum, and not all of it
error_why_not_between = it must lie between the two pressures before
error_why_not_lowered = the strokes must have lowered it
error_why_no_pair = one pair of readings at least is needed
error_why_nothing_to_compare = there is nothing to compare with
error_why_not_later = the second must be later
error_why_other_kind = a vacuum gauge shows nothing then, an absolute one the air pressure
error_why_too_deep = no pump draws a housing so deep, and no vacuum is above the air outside; are the kind of gauge, its unit and the sign right?

# Roles
role_assistant = Assistant
role_dp = Director of photography
role_other = Other

# Rigs
screen_crew_said_brought = { $new } new of { $events ->
    [one] 1 entry
   *[other] { $events } entries
} brought in{ $photos ->
    [0] {""}
    [one] , with 1 photo
   *[other] , with { $photos } photos
}.
screen_crew_said_kept = In the file: { $events ->
    [one] 1 entry
   *[other] { $events } entries
} and { $photos ->
    [one] 1 photo
   *[other] { $photos } photos
}, { $size }.
screen_crew_said_photos_missing = { $n ->
    [one] 1 photo is missing on this phone and not in it.
   *[other] { $n } photos are missing on this phone and not in it.
}
screen_crew_same = The same person as
screen_crew_same_hint = Their two names can't sign for each other from then on. It can't be taken back
screen_crew_same_none = Nobody else
screen_crew_signing = Second signature
screen_crew_signing_alone = We are one person: I look again { $n } minutes later, with a photo
screen_crew_signing_code = Another member, with a code of their own
screen_crew_signing_hint = Where more is asked from now on, what was signed with less no longer counts. What two signed stands when a crew goes on as one; what one signed alone counts only while it is one, and is said beside every Ready
screen_crew_signing_name = Another member, by name
screen_crew_signing_phone = Another member, on their own phone
screen_crew_signing_q = Who signs, and with what
screen_rigs_clock_behind = This phone's clock is { $time } behind the newest entry. Set it right: rechecks are judged by the later of the two.
screen_rigs_empty = Your rigs will stand here, each with whether it may go in the water
screen_rigs_holder = { $name } holds the phone
screen_rigs_new_name = Name of the rig
screen_rigs_new_template = Start from
screen_rigs_new_title = New rig
screen_rigs_key_set_aside = This phone's signing key was damaged and set aside as { $file }. From now on it signs as a new device; the record stays as it is.
screen_rigs_key_alone = This phone's signing key was here, and its record was not: what this phone recorded before is not here. Rigs that another phone's file brings say so until somebody answers for them. If you have kept everything in a file, or another phone has it, bring that in
screen_rigs_lost = { $n ->
    [one] The last entry that this phone had acknowledged is missing from its record: the file was damaged. Every rig says so until somebody answers for it. If another phone has the entry, bring its file in
   *[other] The last { $n } entries that this phone had acknowledged are missing from its record: the file was damaged. Every rig says so until somebody answers for them. If another phone has them, bring its file in
}
screen_rigs_other_key = This phone's signing key is not the one that it signed with before. From now on it signs as a new device; the record stays as it is.
screen_rigs_nobody = Nobody is named as holding the phone
screen_rigs_without_secret = The phone's key store does not give the secret that it kept for signing ({ $why }). The phone signs as a new device now; the record stays as it is.
screen_rigs_set_aside = The record on this phone was damaged ({ $why }). It was set aside whole as { $file }, and a new one begun. Nothing was deleted.
screen_rigs_title = Rigs
screen_about_and_more = { $first } and { $n } more
screen_about_caution = Diving, heavy rigs, pressure and batteries can hurt people. The maker's manual, local rules and licensed practice come before anything said here.
screen_about_inside = What is inside
screen_about_licences = Licences
screen_about_own = Slackwater itself
screen_about_parts = { $n ->
    [one] { $n } part with its licence
   *[other] { $n } parts, each with its licence
}
screen_about_title = About Slackwater
screen_about_what = For the crew that seals a cinema camera into an underwater housing, proves that it is tight, and balances it. It works without signal; the record stays on the crew's phones.
screen_help_caution = A flooded battery vents and burns, a housing can hold pressure and throw its port when it is opened, and rigs are heavy. The maker's manual, local rules and licensed practice come first.
screen_help_what = What it asks
screen_help_why = Why
screen_help_wrong = What can go wrong
screen_start_gauge = Which gauge do you read?
screen_start_gauge_why = Its unit, what it counts from and its finest step stand on its face. A hold is judged by them, and a slip is noticed sooner. Each hold asks for a gauge again, so it can wait.
screen_start_more = Two or more: another member signs what matters most
screen_start_place = First start, { $n } of 3
screen_start_rig = Which rig do you build?
screen_start_rig_why = Start from what comes nearest, then change its housings, seals and limits to what is in front of you. A seal that is not on the list is not asked for. Nothing is proved by it: the rig begins in parts.
screen_start_who = Who are you?
screen_start_who_why = Whatever is recorded bears the name of whoever holds the phone.
screen_start_with = Who preps with you

# One rig
screen_rig_close = Close { $name }
screen_rig_close_confirm = Not serviced: { $seals }. It would have to be opened again. Closed anyway?
screen_rig_closed_by = Closed by { $who }, { $when }
screen_rig_closed_unproved = Closed, not proved
screen_rig_control_failed = { $name } does not work
screen_rig_control_fails = Did not work, { $when }
screen_rig_control_mend = Open its housing, put it right, and try again once it is closed
screen_rig_control_slip = Nothing was opened since it did not work: was it a slip? It is recorded as working then.
screen_rig_control_try = Try it now that the housing is closed
screen_rig_control_untested = Test { $name }
screen_rig_control_works = Works, { $when }
screen_rig_controls_work = Every control was tried and works
screen_rig_controls_left = { $n ->
    [one] 1 control to try
   *[other] { $n } controls to try
}
screen_rig_controls_fail = { $n ->
    [one] 1 control does not work
   *[other] { $n } controls do not work
}
screen_rig_controls_untested = Test { $n } controls of { $name }
screen_rig_copy_hint = The copy has to be proved by itself
screen_rig_copy_title = Copy this rig
screen_rig_deeper = The plan is { $plan }; its maker rates it to { $rating }
screen_rig_too_deep_plan = { $name } is planned deeper than its rating
screen_rig_was_deeper = It was at { $depth }; by its rating then or now, { $rating } is the most
screen_rig_inspect = Look { $name } over: it was deeper than its rating
screen_rig_inspect_note = What you looked at, and what you saw
screen_rig_inspect_hint = Windows, port, walls, seams, closures, rings. Its maker may ask for it to be sent in.
screen_rig_loss = A second member signs for an edit: { $what }
screen_rig_loss_alone = Look again and sign for an edit: { $what }
screen_rig_gone = { $name } was taken off the rig with a fault
screen_rig_gone_note = What became of the fault, and what is in its place now
screen_rig_gone_hint = You answer for it by name.
screen_rig_gone_record = What this phone recorded before is not here
screen_rig_gone_record_why = Its key lay here without a record, and a new one was begun. What it had recorded may have been about this rig: an opening, a leak, a plug that came out
screen_rig_lost = Entries that this phone had acknowledged are missing
screen_rig_lost_why = The record was damaged at its end. What is missing may have been about this rig: an opening, a leak, a plug that came out
screen_rig_lost_note = What was done to the rig since the last entry in its journal, and what was done anew
screen_rig_lost_hint = Compare the rig with its journal; do again what you can't be sure of. You answer for it by name.
screen_rig_not_here = { $n ->
    [one] An entry of another phone does not count here
   *[other] { $n } entries of another phone do not count here
}
screen_rig_not_here_why = Somebody of the crew had heard of it. It is missing here, or its phone was said to be no longer yours. It may be about this rig: an opening, a leak, a plug that came out. Bring in a file from that phone, or look it up there
screen_rig_not_here_note = What the other phone says of the rig since the last entry here
screen_rig_not_here_hint = Look it up on the phone that has it; do again what you can't be sure of. You answer for it by name.
action_answer_not_here = Answer for what is not here
screen_rig_said_lost = Answered for
action_answer_lost = Answer for what is missing
screen_rig_edited_apart = This rig was edited on two phones, each without the other's edit
screen_rig_edited_unknowing = This rig was edited on a phone that had not heard of what was done to it
screen_rig_edited_unknowing_why = There it was still being set up, so nobody signed for what the edit took away or loosened: housings, rings, controls, limits, a lens
action_keep_edit = Keep the edit
screen_rig_edited_apart_plan = the plan
screen_rig_edited_apart_words = names and notes
screen_rig_edited_apart_why = { $who }. They differ in { $what }. Shown is all of both, and where they differ the stricter: the lower rating and limits, the larger volume, the deeper dive
screen_rig_edited_apart_confirm = Look the rig's enclosures, rings, controls and plan over in 'Edit the rig' first. Keep them as they are shown?
screen_rig_said_edits_kept = Both edits kept
action_keep_edits = Keep both edits
screen_rig_unread = { $n ->
    [one] Something recorded about this rig can't be counted here
   *[other] { $n } things recorded about this rig can't be counted here
}
screen_rig_unread_why = A newer version wrote it: update this app. Or a phone and a copy of it each went on writing: look it up there
screen_rig_unread_note = What they say on the phone that wrote them, and what was done about it
screen_rig_unread_hint = Written as: { $kinds }. You answer for it by name.
screen_rig_unread_crew = { $n ->
    [one] Something about the crew was recorded by a newer version and can't be read here: update this app
   *[other] { $n } things about the crew were recorded by a newer version and can't be read here: update this app
}
screen_rig_prep_cut = { $name }: { $n } of { $of } steps were not done
screen_rig_age_unsure = { $name } was rechecked before this phone was restarted, or on another phone: how old that is rests on clocks that can be set
screen_recheck_place = { $title }, { $n } of { $of }
screen_recheck_should = { $name } should read
screen_recheck_age_unsure = Read before this phone was restarted, or on another phone: how old that is isn't known for sure
screen_rig_took_away = { $what } ({ $who }, { $when })
screen_loss_removed = { $name } taken off the rig
screen_loss_unassigned = { $name } no longer used
screen_loss_leak = leak limit of { $name } raised from { $from } to { $to } per dive
screen_loss_rating = depth rating of { $name } raised from { $from } to { $to }
screen_loss_days = days that { $name } may be in: from { $from } to { $to }
screen_loss_openings = openings that { $name } may see: from { $from } to { $to }
screen_loss_dives = dives that { $name } may see: from { $from } to { $to }
screen_loss_recheck = a recheck counts for { $to } instead of { $from }
screen_loss_none = no limit
screen_loss_not_said = what it took away is not said
screen_loss_volume = free volume of { $name } from { $from } to { $to }, so that the same fall is a smaller leak
screen_loss_volume_error = free volume of { $name } said to be known within { $to } instead of { $from }
screen_loss_plug = the gauge of { $name } said to be read with its plug in
screen_loss_elsewhere = { $name } put elsewhere: opening where it was no longer asks for it
screen_loss_ring_age = the ring of { $name } said to be in for { $to } days instead of { $from }
screen_loss_ring_unsaid = the day since when the ring of { $name } is in, taken back
screen_loss_ring_cured = the cure date of the ring of { $name } changed
screen_loss_other_lens = Another lens chosen: { $name }
screen_loss_stored = { $name } said to be of a material that may lie longer than it lay
screen_loss_added = { $name } put on the list after its housing was closed and held
screen_figure_comes = { $name } comes onto it
screen_figure_days = days that { $name } may be in
screen_figure_depth = planned depth
screen_figure_dives = dives that { $name } may see
screen_figure_from_to = { $what } from { $from } to { $to }
screen_figure_goes = { $name } comes off it
screen_figure_limit = leak limit of { $name } per dive
screen_figure_minutes = planned time
screen_figure_openings = openings that { $name } may see
screen_figure_rating = depth rating of { $name }
screen_figure_salinity = planned salinity
screen_figure_volume = free volume of { $name }
screen_figure_water = planned water temperature
screen_loss_other_ring = another ring on the list for { $name }, after its housing was closed and held
screen_rig_look_inside_open = Water was found: { $name } lies open. Look inside, then write what was done
screen_rig_look_inside_flood = Water was found: leave { $names } shut, and go through { $title }
screen_rig_look_inside = Water was found: open { $names } and look inside first, then write what was done
screen_rig_defect = Defect: { $name }
screen_rig_defect_at = Where
screen_rig_defect_at_rig = The rig as a whole
screen_rig_defect_blocks = Blocks the rig until it is put right
screen_rig_defect_blocks_q = It keeps the rig out of the water
screen_rig_defect_how = What was done about it
screen_rig_defect_text = What is wrong
screen_rig_defect_title = Note a defect
screen_rig_defect_water = Water was found
screen_rig_dive_depth = Deepest
screen_rig_dive_minutes = Time under water
screen_rig_dive_up = Where is it now?
screen_rig_dive_is_up = Up, on deck
screen_rig_dive_goes_in = It goes in now
screen_rig_dive_up_hint = The gas inside is as cold as the water for a while: the next recheck reckons with it.
screen_rig_dive_salt = In salt water
screen_rig_dive_title = Log a dive
screen_rig_hold = Prove { $name }
screen_rig_hold_abandoned = The last hold was given up
screen_rig_hold_after_closing = Comes after closing
screen_rig_hold_leaking = The last hold leaked
screen_rig_hold_none = No hold since it was closed
screen_rig_hold_not_yet = The last hold ended without a verdict
screen_rig_leaked_before = { $name }: the hold before this one found a leak, and nothing was opened since. If it was not the hose or the valve, it is there still.
screen_rig_leaks_within = { $name } leaks, { $least } per dive or more. That is within the limit of { $limit }; a leak has a cause all the same: look for it.
screen_rig_dived_open = It went in recorded as open, or without its plug: look inside
screen_rig_called_slip = { $name }: a number read at the recheck was called mistyped. See its recheck.
screen_rig_unlikely = { $name }: a number that its proof rests on looked unlikely and was confirmed. See its hold.
screen_rig_hold_more_readings = Readings have come in that its verdict does not cover
screen_rig_hold_other_plan = The plan or the limit asks for more than it was judged for
screen_rig_hold_other_plan_named = Since it was judged: { $what }
screen_rig_hold_running = A hold is under way
screen_rig_is_open = Open since { $when }
screen_rig_kind_after_dive = After the last dive of the day
screen_rig_kind_build = From dry parts to a rig that is proved
screen_rig_kind_flood = Water inside, or a leak under water
screen_rig_kind_turnaround = Between two dives
screen_rig_lens = Lens
screen_rig_lens_hint = Changing it opens the port
screen_rig_lens_title = Change the lens
screen_rig_never_closed = Never recorded as closed
screen_rig_no_enclosures = Nothing here is sealed
screen_rig_no_enclosures_why = Add the housings: there is nothing to prove yet
screen_rig_no_prep = No prep was done
screen_rig_no_prep_why = Two people sign the plug and the walk-round in a prep
screen_rig_no_prep_why_alone = The plug and the walk-round are looked at twice in a prep
screen_rig_no_seals = No seals are listed for { $name }
screen_rig_no_seals_why = List its o-rings, or nobody will look at them
screen_rig_no_valve = { $name } can't be proved
screen_rig_no_valve_why = It has no vacuum valve on record
screen_rig_not_ready = { $n ->
    [one] Not ready: { $n } thing
   *[other] Not ready: { $n } things
}
screen_rig_one_word = On one person's word: the second look was the same person's, later
screen_rig_crew_of_one = On one person's word: the crew is one now. Who gave the second look has left it.
screen_rig_open_confirm = Opening { $name } takes away its hold, recheck, plug and control tests. Under vacuum, let air in by the valve first. Open it?
screen_rig_open_confirm_bare = Under vacuum, let air in by the valve first. Record { $name } as opened? Its rings there are to be serviced then.
screen_rig_open_not_known = Not known which: all its seals count as disturbed
screen_rig_left_open = Opened, and no step closed it: { $names }
screen_rig_open_since = Opened { $when }
screen_rig_open_takes = Opening { $name } takes away its hold, recheck, plug and control tests.
screen_rig_open_title = Open { $name }
screen_rig_open_which = What was opened?
screen_rig_past_days = Fitted { $age } days ago; the limit is { $limit } days
screen_rig_past_openings = Opened { $count } times since fitted; the limit is { $limit }
screen_rig_past_dives = { $count } dives in salt water since fitted; the limit is { $limit }
screen_rig_past_stored = Fitted on { $fitted }, too long after its cure date: by ISO 2230 it could be until { $until }
screen_rig_plan_depth = Planned depth
screen_rig_plan_minutes = Time at depth
screen_rig_plan_salinity = Salinity
screen_rig_plan_salinity_hint = Open sea 35, fresh water 0
screen_rig_plan_title = The planned dive
screen_rig_plan_water = Water temperature
screen_rig_plug = Refit the plug of { $name }
screen_rig_plug_why = A forgotten plug floods the rig
screen_rig_plug_off_confirm = Record that the plug of { $name } is out? It has to be refitted, and the recheck made again.
screen_rig_plugs_unseen = { $n ->
    [one] Plug of { $names }: only one has seen it
   *[other] Plugs of { $names }: only one has seen them
}
screen_rig_plugs_unseen_alone = { $n ->
    [one] Plug of { $names }: looked at once only
   *[other] Plugs of { $names }: looked at once only
}
screen_rig_plugs_unseen_why_alone = Look at it again, some minutes after it went in; a forgotten plug floods the rig
screen_rig_plugs_never_seen_why = Nobody else has looked at it yet; a forgotten plug floods the rig
screen_rig_plugs_unseen_why = Put in since a second member looked; a forgotten plug floods the rig
screen_rig_port = Port
screen_rig_prep_all_done = Every step done; to be ended
screen_rig_prep_left = { $n ->
    [one] Prep unfinished: one step left
   *[other] Prep unfinished: { $n } steps left
}
screen_rig_prep_unfinished = Begun and not ended
screen_rig_ready_one_word = Ready until { $time }, on one person's word
screen_rig_ready_until = Ready until { $time }
screen_rig_recheck = Recheck { $name }
screen_rig_recheck_changed = The vacuum has changed by more than the weather explains
screen_rig_recheck_clock = The recheck lies in the future: the clock was set back
screen_rig_recheck_dived = Rechecked before the last dive, not since
screen_rig_recheck_surfaced = Rechecked before the work after a dive, not since
screen_rig_recheck_plug = The plug came out after the recheck
screen_rig_recheck_other_plan = Rechecked under the old plan: read the gauge once more
screen_rig_recheck_judge_first = Once the hold of { $name } is judged again: the plan has changed since
screen_rig_recheck_none = Not rechecked since the hold
screen_rig_recheck_old = The last recheck is { $age } old
screen_rig_recheck_unclear = The last recheck could not tell
screen_rig_record_trigger = Record trigger
screen_rig_retire_confirm = Retire this rig? Its record stays.
screen_rig_retired = Retired
screen_rig_retired_why = Out of use; its record stays
screen_rig_said_closed = Closed: { $name }
screen_rig_said_defect = Defect noted
screen_rig_said_defect_closed = Defect put right
screen_rig_said_dive = Dive logged
screen_rig_said_fails = Does not work: { $name }
screen_rig_said_in_use = In use again: { $name }
screen_rig_said_judged_again = Judged again for the plan as it is now
screen_rig_said_lens = Lens changed
screen_rig_said_looked_inside = Looked inside: { $name }
screen_rig_said_opened = Opened: { $name }
screen_rig_said_plan = Plan changed
screen_rig_said_plug_off = Plug out: { $name }
screen_rig_said_plug_on = Plug in: { $name }
screen_rig_said_inspected = Looked over
screen_rig_said_unread = Noted
screen_rig_said_retired = Retired: { $name }
screen_rig_said_works = Works: { $name }
screen_rig_seal_age = { $n ->
    [one] Nobody said how old the ring is: { $names }
   *[other] Nobody said how old these rings are: { $names }
}
screen_rig_seal_disturbed_why = Disturbed by an opening { $when }
screen_rig_seal_never_why = Never serviced on record
screen_rig_seal_past = Replace the ring: { $name }
screen_rig_ring_unlike = { $name }: the ring in it is { $ring }, the list says { $listed }
screen_rig_source_defect = Open on { $rig }, which this rig was copied from: { $text }
screen_rig_seal_soon = { $name }: { $why }
screen_rig_seals_to_service = Service { $n } rings: { $name }
screen_rig_seal_to_service = Service { $name }
screen_rig_second_prep_confirm = A prep is under way. Start another beside it?
screen_rig_start_voids_confirm = No dive is on record since the recheck. Did it dive? Starting this voids the recheck.
screen_rig_water_in = Water found: to be looked into
screen_rig_water_since = Water found since the hold: to be looked into
screen_rig_skipped = Skipped: { $step } ({ $reason })
screen_rig_step_not_done = Two people sign this step; it is not done
screen_rig_step_not_done_alone = It wants two looks, some minutes apart; it is not done
screen_rig_step_second = Done; the second member has not signed
screen_rig_step_second_alone = Done; the second look is still to come
screen_rig_step_skipped_two = Two people sign this step; it was skipped
screen_rig_step_skipped_two_alone = It wants two looks, some minutes apart; it was skipped
screen_rig_unsigned = { $name }
screen_rig_until_recheck = Then { $name } wants a new recheck
screen_rig_until_seal = Then a ring is due: { $name }
screen_rig_walk_not_done = Not done since the last housing was closed

# A prep
screen_photo_as_it_is = Hand on as the camera made it
screen_photo_as_it_is_question = The file may tell where and when it was taken, and with which phone. Hand it on so?
screen_photo_cannot_clean = This kind of file can't be handed on without its location
screen_photo_no_picture = This kind of file is kept, but can't be drawn here
screen_photo_file = { $kind }, { $size }
screen_photo_file_pixels = { $kind }, { $w } × { $h } pixels, { $size }
screen_photo_record = BLAKE3 of the file: { $hash }
screen_photo_spoken = Photo: { $what }
screen_photo_without_location = Hand on without its location
screen_map_open = open
screen_map_plug = Plug
screen_map_plug_out = out
screen_map_said = { $name }, { $of }: { $how }
screen_map_said_whole = { $name }: { $how }
screen_map_spoken = { $n ->
    [0] { $name } from its side: everything in its place
   *[other] { $name } from its side. { $what }
}
screen_prep_at_least = At least { $min }
screen_prep_at_most = At most { $max }
screen_prep_between = Between { $min } and { $max }
screen_prep_can_be_done = Can be done now
screen_prep_complete = Every step is done
screen_prep_complete_care = End it. The rig stays as it lies until the next build.
screen_prep_complete_text = End the prep, then recheck on deck before the dive
screen_prep_ended_text = What readiness still asks for stands on the rig's page
screen_prep_crossing = Follow the numbers on the drawing, from 1 to { $n }: they cross from side to side. Three rounds in that order: snug, then firm, then final; then once more from each screw to the one beside it. Where the maker says otherwise, the maker is right.
screen_prep_done_by = Done by { $who }
screen_prep_end_title = End the prep
screen_prep_ended = Ended by { $who }
screen_prep_finding_title = Found: { $step }
screen_prep_hand_over_title = Hand the prep and the phone over
screen_prep_interrupted = { $n ->
    [0] You stopped here { $time } ago
    [one] You stopped here { $time } ago; one step was ticked since
   *[other] You stopped here { $time } ago; { $n } steps were ticked since
}
screen_prep_is_done = Done
screen_prep_is_skipped = Skipped
screen_prep_is_waiting = Waits for other steps
screen_prep_open_already = It is recorded as open already
screen_prep_open_elsewhere = It lies open at { $names } already, so there is no hold left to lose
screen_prep_nothing_to_compare = No hold of it counts, so nothing says what its gauge should read. Air in it or a vacuum tells nothing of the dive: it is proved by a new hold
screen_prep_open_confirm = Opening takes away the hold, recheck, plug and control tests of this enclosure. Is it open?
screen_prep_place = { $section }, { $position } of { $of }
screen_prep_reason = Reason
screen_prep_said_done = Done: { $step }
screen_prep_said_ended = Prep ended
screen_prep_said_finding = Noted and done
screen_prep_said_handed_over = { $name } goes on
screen_prep_said_reopened = Open again: { $step }
screen_prep_said_signed = Signed by { $name }
screen_prep_said_skipped = Skipped, with the reason
screen_prep_signatures = Two people sign
screen_prep_signatures_alone = Look a second time
screen_prep_signatures_left = { $n ->
    [one] One step waits for its second member
   *[other] { $n } steps wait for their second member
}
screen_prep_signatures_left_alone = { $n ->
    [one] One step waits for the second look
   *[other] { $n } steps wait for the second look
}
screen_prep_skip_hint = It shows in the readiness of the rig
screen_prep_skip_title = Skip: { $step }
screen_prep_skipped = Skipped: { $reason }
screen_prep_end_early = End it here?
screen_prep_stuck = No step can be done now
screen_prep_to_whom = To whom
screen_prep_torque = Final torque by its maker: { $torque }.
screen_prep_two_person = Two people sign this step
screen_prep_two_person_alone = You look at this twice, some minutes apart
screen_prep_value = Reading
screen_prep_waits = Waits for: { $steps }
screen_prep_wants_second = Waits for the second member
screen_prep_wants_second_alone = Waits for the second look

# A hold
screen_hold_abandon_title = Give this hold up
screen_hold_abandoned = Given up
screen_hold_ambient = Barometer now
screen_hold_conclude_confirm = Without a verdict the hold counts for nothing. End it?
screen_hold_end_confirm = End the hold with this verdict? { $verdict }. No reading is added after it.
screen_hold_concluded = Ended { $when }, on { $n } readings over { $lasted }
screen_hold_changed_since = A recheck since found another vacuum than this hold foretells: what it proved stands no longer.
screen_hold_judged_again = Judged again for another plan, limit or volume, { $when }; nothing was pumped or read for that
screen_hold_ended_open = Ended without a verdict
screen_hold_judged_open = Judged again: no verdict for the plan as it is now
screen_hold_fast_leak = The vacuum runs away. Stop pumping and look for the way in.
screen_hold_first_reading = Started: take a reading
screen_hold_first_reading_why = One reading shows nothing yet; the next one in half a minute
screen_hold_gauge = The gauge reads
screen_hold_gauge_pumped = Pumped to about { $vacuum } below the air outside, valve closed
screen_hold_gauge_hint = In the gauge's own unit
screen_hold_instruction = Valve open: what does the gauge of { $name } show?
screen_hold_kind = The gauge shows
screen_hold_kind_absolute = Absolute pressure inside
screen_hold_kind_below = Vacuum below ambient
screen_hold_lasted = Held for
screen_hold_leak = Leak
screen_hold_leak_between = { $least } to { $most } per dive
screen_hold_leak_least = at least { $least } per dive
screen_hold_leaks = Leaks: at least { $water } per dive
screen_hold_leaks_within = Leaks { $least } to { $most } per dive, within the limit
screen_hold_limit = The limit is { $limit } for { $depth } and { $minutes }
screen_hold_limit_built_in = The limit is { $limit } for { $depth } and { $minutes }. It is the built-in one: what a quarter of an hour can show at best, not what is harmless. Set your own at the enclosure.
screen_hold_limit_line = limit: { $limit } per dive
screen_hold_limit_line_leaves = limit: { $limit } per dive; off the chart from { $at }
screen_hold_limited_barometer = What limits it: the barometer
screen_hold_limited_camera = What limits it: the warmth of what runs or ran inside
screen_hold_limited_camera_unsaid = What limits it: nobody said whether anything inside is warm
screen_hold_limited_desiccant_unsaid = What limits it: nobody said whether fresh desiccant is inside; it takes vapour out of the air, which hides a leak
screen_hold_limited_desiccant = What limits it: desiccant takes vapour out of the air, which hides a leak
screen_hold_limited_gauge = What limits it: the gauge's steps
screen_hold_limited_settling = What limits it: the gas is still settling after the pumping
screen_hold_limited_temperature = What limits it: the temperature of the gas
screen_hold_leak_seen = It leaks, { $water } or more per dive. Whether that is within { $limit } is not known yet.
screen_hold_likely_leaks = Most likely it leaks: about { $water } per dive
screen_hold_where_it_leaks = Hose, fitting and valve first: they leak like a housing, and nothing has to be opened for them. Then the closures, as they were closed last
screen_hold_again_confirm = The new hold takes the place of this one as soon as it begins
screen_hold_limited_volume = What limits it: the free volume is not well known
screen_hold_looks_mistyped = Looks mistyped; left out of the fit
screen_hold_not_yet = Not yet: if it is tight, about { $time } more
screen_hold_not_yet_between = Not yet: if it is tight, { $time } to { $most } more
screen_hold_not_yet_or_longer = Not yet: if it is tight, { $time } more, or much longer
screen_hold_wants_readings = { $n ->
    [one] That is below the limit, on too few readings: a verdict wants one more
   *[other] That is below the limit, on too few readings: a verdict wants { $n } more
}
screen_hold_wants_time = That is below the limit, too early: a verdict wants { $time } more to see how the gas settles
screen_hold_stays = Without a barometer it has to stay where it stands: on a road up or down the air pressure moves, and the gauge with it.
screen_hold_camera_off_first = With the camera on, or nobody saying that it is off, how warm the gas is isn't known, and no recheck of this hold can tell. Switch it off for half an hour, then hold again; or put a sensor inside.
screen_hold_stood_first = It had just come from elsewhere, and no recheck of this hold can tell. Let it stand here for an hour, then hold again; or put a sensor inside.
screen_hold_longer_first = This was read for too short a time for a recheck of it to tell. Hold again, for longer.
screen_hold_cold_first = The camera had just been switched off, how warm the gas was isn't known, and no recheck of this hold can tell. Let it cool for an hour, then hold again; or put a sensor inside.
screen_hold_packs_first = Nobody said whether fresh packs are shut in, and no recheck of this hold can tell. If there are none, say so and hold again.
screen_hold_sensor_first = No recheck of this hold can tell with this thermometer. Put a sensor inside and hold again.
screen_hold_deeper_first = No recheck of this hold can tell at this vacuum. Draw it to { $vacuum } and hold again.
screen_hold_never_rechecked = No recheck of this hold can tell: gauge, thermometer, barometer and limit together leave too much unsure. Another gauge or thermometer is needed.
screen_hold_no_night = A recheck soon after this hold can tell, one after a night can't.
screen_hold_night_either = A recheck soon after this hold can tell, one after a night can't. With a deeper vacuum or a sensor inside it could.
screen_hold_night_deeper = A recheck soon after this hold can tell, one after a night can't. With a deeper vacuum it could.
screen_hold_night_sensor = A recheck soon after this hold can tell, one after a night can't. With a sensor inside it could.
screen_hold_too_coarse = After a night the deck recheck can't tell with this gauge: its steps of { $step } are too wide for this vacuum. Take one with steps of { $wanted } or finer, or draw a deeper vacuum.
screen_hold_vacuum_lost = Most of the vacuum is gone: what is left shows nothing more. Look for the way in.
screen_hold_thermometer_seldom = The temperature was not read for { $gap }, so the hold is judged as if it were not measured. Read it with every reading: it counts again once that gap is little of the hold.
screen_hold_thermometer_unread = No temperature was read, so the hold is judged as if it were not measured. Read it with every reading.
screen_hold_not_yet_never = Not yet, and how long it will take can't be said
screen_hold_now = Gauge, last
screen_hold_read_in = Next reading in { $time }
screen_hold_read_now = Read the gauge now
screen_hold_reading_title = Next reading
screen_hold_resolution = Smallest step it shows
screen_hold_resolution_hint = In the gauge's unit: 1 for a display without decimals, 0.1 with one
screen_hold_said_abandoned = Hold given up
screen_hold_said_aside = Reading set aside; it stays in the record
screen_hold_steps_doubted = Look at the gauge: every reading is a whole step of { $steps }. If it shows { $said }, this is tight; if not, it is not known yet
screen_hold_said_steps = Noted what the gauge shows
screen_hold_said_concluded = Hold ended
screen_hold_said_reading = Reading added
screen_hold_seal_not_serviced = { $name } is not serviced since it was disturbed: this hold would not count
screen_hold_set_aside = Set aside
screen_hold_set_aside_confirm = Set this reading aside as mistyped? It stays in the record.
screen_hold_source = Temperature is taken
screen_hold_source_air = In the air beside the housing
screen_hold_source_inside = Inside the housing
screen_hold_source_none = Not at all
screen_hold_source_surface = On the housing, in the shade
screen_hold_suspects = { $n ->
    [one] One reading looks mistyped
   *[other] { $n } readings look mistyped
}
screen_hold_temperature = Temperature now
screen_hold_temperature_last = Temperature, last
screen_hold_tight = Tight to { $water } per dive
screen_hold_open = With the valve open, before pumping, the gauge shows
screen_hold_open_nothing = Nothing: it is a vacuum gauge
screen_hold_open_air = About { $pressure }, the air outside: it is an absolute gauge
screen_hold_open_other = Another number
screen_hold_open_reads = Which number
screen_hold_open_reads_hint = Only where it is another: a gauge that is a little off is set right by it
screen_hold_inside = What is shut in
screen_hold_inside_same = As last time: { $what }
screen_hold_inside_below = Said below
screen_hold_inside_unsaid = not said
screen_hold_inside_said = Shut in: { $what }
screen_hold_not_said = Not said: any of these is allowed for
screen_hold_camera = Camera, monitor or lamp inside
screen_hold_camera_cold = Off and cold
screen_hold_camera_warm = Switched off within the last hour
screen_hold_camera_on = On
screen_hold_desiccant = Desiccant
screen_hold_desiccant_none = No desiccant, or spent packs
screen_hold_desiccant_fresh = Fresh packs
screen_hold_stood = For the last hour the housing
screen_hold_stood_here = Stood here
screen_hold_stood_moved = Came from a car, the sun or a rinse tank
screen_hold_sure = It is so: { $value }
screen_hold_unlikely = looked unlikely, confirmed
screen_hold_confirmed = { $n ->
    [one] One number looked unlikely and was confirmed by who typed it
   *[other] { $n } numbers looked unlikely and were confirmed by who typed them
}
screen_hold_unit = Unit of the gauge
screen_hold_way_camera_off = Camera off, wait { $wait } until it is cold, then a new hold of about { $time }
screen_hold_way_camera_cools = Wait { $wait } until what was switched off is cold, then a new hold of about { $time }
screen_hold_way_humidity = With the humidity inside measured as the valve closes: a new hold of about { $time }
screen_hold_way_probe = With a probe on the housing: a new hold of about { $time }
screen_hold_way_say_camera = Say what the camera did: if it is cold, about { $time } more
screen_hold_way_say_desiccant = Say whether fresh desiccant is inside: if there is none, about { $time } more
screen_hold_way_sensor = With a sensor in the gas inside: a new hold of about { $time }
screen_hold_wet_inside = It looks wet inside: vapour, not a leak, would explain this rise
screen_hold_at_most = So far a leak of up to { $water } per dive is possible
screen_hold_broke = From { $time } on the vacuum fell faster than before, or all at once: a leak that began then, or a puff of air past a seal. Look at seals, valve and hose, and hold again.
screen_hold_grew = The vacuum has grown by more than cooling explains. No closed housing does that: was it pumped again, or another gauge read? Hold again.
screen_hold_overruled = { $n ->
    [one] One reading was set aside although nothing speaks against it: it counts. If it is wrong, hold again.
   *[other] { $n } readings were set aside although nothing speaks against them: they count. If they are wrong, hold again.
}
screen_hold_set_aside_counts = Set aside; counts all the same
screen_hold_imported = Brought in from a file, to be looked at. It proves nothing: nobody recorded the closing before it.
screen_hold_wait_for = Wait { $time } more and it could show { $water }
screen_hold_with = With which gauge
screen_hold_file_wrong = { $n ->
    [one] One row of { $name } is wrong:
   *[other] { $n } rows of { $name } are wrong:
}
screen_hold_file_more = { $n ->
    [one] and one more
   *[other] and { $n } more
}
screen_hold_rate_at_most = Leak rate, at most
screen_hold_hole_at_most = As one round hole, at most
screen_hold_details = For who wants to know more
screen_hold_humidity = Relative humidity inside, as the valve closes
screen_hold_humidity_hint = Leave it empty unless a sensor inside shows it. It says how much the vapour in the air can move the pressure.
screen_hold_air = Air pressure outside
screen_hold_air_phone = By this phone: { $pressure }, give or take { $error }
screen_hold_air_assumed = The maker of its barometer states no error: so much is allowed for.
screen_hold_air_stated = The error is what the maker of its barometer states.
screen_hold_air_steps = It reads in steps of { $step }.
screen_hold_air_often = A new figure comes every { $time }.
screen_hold_air_typed = By another barometer, or not known
screen_hold_file_row = Line { $line }: { $why }
screen_hold_said_rows_wrong = Some rows of that file are wrong; nothing was taken yet
screen_hold_said_file_left = File left; nothing was taken
screen_hold_leak_not_known = not known yet
screen_hold_cannot_judge = Can't be judged
screen_hold_cannot_judge_why = A reading in the record can't be true. Set it aside if the hold still runs; else hold again.
screen_hold_brought_other_enclosure = The file is of another enclosure: { $name }
screen_hold_brought_leaks = Its readings leak, { $water } per dive or more, since the last closing. The housing counts as leaking until it is opened or held again.
screen_hold_brought_other_volume = The file's free volume, { $volume }, is not this enclosure's
screen_hold_brought_other_gauge = It was read with another gauge than the last hold here
screen_hold_brought_before_closing = It was held before the last closing: { $when }
screen_hold_brought_when_unknown = The file does not say when it was held
screen_hold_brought_other_limit = The file's own limit is { $limit } per dive; it is judged by the enclosure's
screen_hold_brought_assumed = The file does not say { $key }: { $value } is assumed
screen_hold_brought_unknown = Not understood in the file: { $key }
screen_hold_brought_no_temperatures = The file names a thermometer and has no temperatures
screen_hold_brought_rows = Wrong rows left out: { $n }
screen_hold_brought_thinned = Of { $n } readings { $kept } are kept, closer together at the beginning

# Deck recheck
screen_recheck_air_first = First the air on deck
screen_recheck_air_title = Air on deck now
screen_recheck_as_it_should = Read as it should, { $when }
screen_recheck_barometer_down = Barometer lower: { $amount } less vacuum
screen_recheck_barometer_up = Barometer higher: { $amount } more vacuum
screen_recheck_changed = Changed since it was proved
screen_recheck_expected = Should read now
screen_recheck_expected_then = Should have read
screen_recheck_lower = Less vacuum than it should be. Don't dive it: hold again.
screen_recheck_water_inside = After a dive, lost vacuum may mean water inside. Switch nothing on and charge nothing; open it by the procedure for water inside.
screen_recheck_higher = More vacuum than it should be: is it this housing and this gauge? Don't dive it: hold again.
screen_recheck_other = The vacuum has changed by more than the weather explains. Don't dive it: hold again.
screen_recheck_camera = Camera, monitor or lamp in { $name }
screen_recheck_camera_hint = On: it runs, or ran within the last half hour. A reading before switching it on tells more.
screen_recheck_camera_off = Off
screen_recheck_camera_unsaid = Nobody said whether anything inside runs. If all of it is off, say so with the air: then a reading tells, or tells sooner.
screen_recheck_limited_no_barometer = The hold had no barometer to compare with: hold again with one
screen_recheck_camera_off_first = With what runs inside no reading tells. Switch it off now and read the gauge in { $minutes } min.
screen_recheck_camera_off_tells_more = A camera that runs warms the gas. A reading before switching it on tells more.
screen_recheck_camera_on = On
screen_recheck_camera_seen = { $n ->
    [one] This camera warms the gas by up to { $warms }: one reading with it on showed it
   *[other] This camera warms the gas by up to { $warms }: { $n } readings with it on showed it
}
screen_recheck_old_plan = { $value } was read under the old plan ({ $who }): read once more for the plan as it is now
screen_recheck_proved = By the hold: { $held }
screen_recheck_inside_less = Warm camera, or a leak known from the hold: { $amount } less vacuum
screen_recheck_inside_more = Camera cooled, packs dried the air: { $amount } more vacuum
screen_recheck_limited_barometer = The air pressure makes it unsure most: read the same barometer as at the hold
screen_recheck_limited_brought = It came from elsewhere within the hour, which makes it unsure most: let it stand here, then read again
screen_recheck_limited_camera = What a camera inside may do makes it unsure most: read before it is switched on, or half an hour after it went off
screen_recheck_limited_gauge = The gauge makes it unsure most: one with smaller steps sees more
screen_recheck_limited_leak = The leak seen in the hold makes it unsure most: a longer hold, or a recheck sooner
screen_recheck_limited_packs = Fresh packs make it unsure most: measure the humidity at closing, or hold again now
screen_recheck_limited_temperature = The temperature makes it unsure most: take it on the housing or in it, at the hold and now
screen_recheck_missed_below = Would have missed a change below { $amount }
screen_recheck_said_slip = Noted as mistyped. Read the gauge again.
screen_recheck_slip_by = { $value } was typed first and called a slip: { $why }, { $who }
screen_recheck_slip_reason = Mistyped? Say what was wrong
screen_recheck_unclear_time = Can't tell: the phone was off, so how long it was isn't known for sure. Hold again.
screen_recheck_unclear_below = Can't tell: a change below { $amount } would not have been seen
screen_recheck_no_hold = No hold counts: nothing to compare with
screen_recheck_progress = { $done } of { $all } read
screen_recheck_read = Read the gauge
screen_recheck_read_by = Read { $value }: { $who }
screen_recheck_reads = The gauge reads
screen_recheck_reads_on = It reads, on { $gauge }
screen_recheck_ready = Nothing has changed: ready until { $time }
screen_recheck_said_air = Air noted
screen_recheck_said_changed = { $name }: changed
screen_recheck_said_same = { $name }: nothing has changed
screen_recheck_said_unclear = { $name }: can't tell
screen_recheck_temperature_air = Temperature of the air beside the housings
screen_recheck_temperature_inside = Temperature inside { $name }
screen_recheck_temperature_surface = Temperature on { $name }, in the shade
screen_recheck_wants_air = It can't tell without the temperature of the air beside it, as at its hold
screen_recheck_wants_inside = It can't tell without the temperature inside it, as at its hold
screen_recheck_wants_barometer = It can't tell without a barometer, as at its hold
screen_recheck_wants_surface = It can't tell without the temperature on it, as at its hold
screen_recheck_came_up = It came out of { $water } water and may still be as cold inside. Wait { $minutes } min, then read: sooner it can't tell. A sensor inside, at the hold and now, would.
screen_recheck_came_up_long = It came out of { $water } water and may still be as cold inside: that leaves the reading less sure
screen_recheck_too_soon = Too soon to tell: a leak at the limit would not show yet. Read the gauge in { $minutes } min.
screen_recheck_tells_now = It couldn't tell then and can now: read the gauge again
screen_recheck_limited_water = The water it came out of makes it unsure most: read again once it is as warm as the air
screen_recheck_temperature_down = Colder inside: { $amount } more vacuum
screen_recheck_temperature_hint = Taken the same way as at the hold
screen_recheck_temperature_up = Warmer inside: { $amount } less vacuum
screen_recheck_stood = In the last hour it
screen_recheck_stood_here = Stood here
screen_recheck_stood_elsewhere = Came from elsewhere
screen_recheck_stood_hint = From a cabin, a car, the sun or a rinse tank its gas is not yet as warm as the air here. A dive on record is reckoned with.
screen_recheck_brought = It came from elsewhere within the hour: its gas may not yet be as warm as what the thermometer is on. Let it stand here for an hour, then read. A sensor inside, at the hold and now, would tell at once.
screen_recheck_air_moved = It moved by { $value } since the hold: more than weather does. After a drive that is so; is a digit wrong?
screen_recheck_warmed = It changed by { $value } since the hold. Is a digit wrong?
screen_recheck_then = Read at the hold
screen_recheck_unchanged_but = { $n ->
    [one] Nothing has changed, but one thing is in the way
   *[other] Nothing has changed, but { $n } things are in the way
}
screen_recheck_unclear = Can't tell: take the temperature and barometer as at the hold, or hold again
screen_recheck_left_less = { $amount } less vacuum than the hold and the weather foretell
screen_recheck_left_more = { $amount } more vacuum than the hold and the weather foretell
screen_recheck_cannot_judge = The hold or a reading in the record can't be true: hold again. { $why }

# Seals
screen_seal_age_days = In use for
screen_seal_again_hint = Another member than who found it looks all round, under a light
screen_seal_again_note = What was seen
screen_seal_again_title = Look again at the ring that was found bad
screen_seal_age_title = How old is the ring in it?
screen_seal_cured = Cure date on the pack
screen_seal_cured_hint = As printed: 2Q25 or 2025-05
screen_seal_between = from { $low } to { $high } by the tolerances
screen_seal_dives = Dives in salt water since
screen_seal_faulty = { $what }, and the ring is in it still. Replace it.
screen_seal_faulty_short = A ring that must not go back is in it. Replace it.
screen_seal_fill = Fill of the gland
screen_seal_finding = Found on it
screen_seal_finding_clean = Nothing
screen_seal_finding_dry = Dry or brittle
screen_seal_finding_flat = Flattened
screen_seal_finding_hair = A hair or fibre, taken off
screen_seal_finding_nick = A nick or cut
screen_seal_finding_sand = Sand or salt, washed off
screen_seal_finding_swollen = Swollen
screen_seal_fit_high = { $what } { $value }: the published most is { $limit }
screen_seal_fit_high_worst = { $what } { $value } with the worst tolerances: the published most is { $limit }
screen_seal_fit_kept = Squeeze, stretch and fill keep the published limits for static seals
screen_seal_fit_low = { $what } { $value }: the published least is { $limit }
screen_seal_fit_low_worst = { $what } { $value } with the worst tolerances: the published least is { $limit }
screen_seal_fit_maker = A maker's own gland may be right and break a general limit: the maker's manual stands above this.
screen_seal_fit_title = Fit a new ring
screen_seal_fitted = Fitted
screen_seal_gland_depth = The gland's depth
screen_seal_gland_width = The gland's width
screen_seal_grease = Grease in use
screen_seal_grease_avoid = { $grease } grease and { $material } do not go together: the ring swells or softens
screen_seal_grease_caution = { $grease } grease on { $material }: only where the housing's maker says so
screen_seal_grease_mineral = Mineral oil
screen_seal_grease_pfpe = Perfluoropolyether
screen_seal_grease_silicone = Silicone
screen_seal_inside = Inside diameter
screen_seal_inside_hint = Ring lying flat, not stretched
screen_seal_material = Material
screen_seal_material_au = polyester urethane
screen_seal_material_cr = chloroprene
screen_seal_material_epdm = ethylene propylene
screen_seal_material_ffkm = perfluoroelastomer
screen_seal_material_fkm = fluorocarbon
screen_seal_material_hnbr = hydrogenated nitrile
screen_seal_material_nbr = nitrile
screen_seal_material_nr = natural rubber
screen_seal_material_sbr = styrene-butadiene
screen_seal_material_vmq = silicone
screen_seal_measure_title = Measure the ring
screen_seal_not_known = not known
screen_seal_openings = Openings since
screen_seal_pack = From which pack
screen_seal_part_back = Ring back in, lying flat all round
screen_seal_part_cleaned = Ring, groove and face cleaned
screen_seal_part_greased = Greased thinly: a shine, no lumps
screen_seal_part_looked = Looked at all round, under a light
screen_seal_part_out = Ring out, without a sharp tool
screen_seal_said_again = Noted: looked at again by another
screen_seal_said_age = Age noted
screen_seal_said_seen = Noted: the ring that is in must not go back
screen_seal_said_faulty = Noted: this ring stands in the way until it is replaced
screen_seal_said_fitted = New ring fitted

screen_seal_said_serviced = Seal serviced
screen_seal_said_size = Size is { $size }
screen_seal_section = Thickness of the ring
screen_seal_section_hint = Do not squeeze it while measuring
screen_seal_size = Size
screen_seal_size_hint = As AS568-258 or 151.99 x 3.53 mm
screen_seal_size_is = The size on record
screen_seal_size_iso = In the series of ISO 3601-1
screen_seal_size_likely = Off by { $inside } inside, { $section } in thickness
screen_seal_size_metric = Metric, outside the series
screen_seal_size_none = No known size comes near
screen_seal_size_none_why = A used ring may have stretched or swollen. Measure again, or the ring on the other side.
screen_seal_size_unlikely = Unlikely: off by { $inside } inside, { $section } in thickness
screen_seal_squeeze = Squeeze
screen_seal_stretch = Stretch
screen_seal_take_out = Take the ring out without a sharp tool, then go on
screen_seal_temperature = The planned water is { $water }; { $material } is made for { $min } to { $max }
screen_seal_unit = Measured in
screen_seal_unit_inch = Inches
screen_seal_unit_mm = Millimetres
screen_seals_all_right = Nothing is due
screen_seals_age_unknown = Nobody said how old the ring is
screen_seals_empty = The rig's o-rings will stand here, the nearest due first. Edit the rig to list them.
screen_seals_days = { $n ->
    [one] one day
   *[other] { $n } days
}
screen_seals_dives = { $n ->
    [one] one dive in salt water
   *[other] { $n } dives in salt water
}
screen_seals_left = { $what } left
screen_seals_openings = { $n ->
    [one] one opening
   *[other] { $n } openings
}
screen_seals_due = A new ring by about { $day }
screen_seals_due_in_shoot = A new ring by about { $day }, so before the shoot is over: fit it first
screen_seals_next_on = Nearest due: { $name }, about { $day }
screen_seals_next = { $name } first
screen_seals_next_in = Nearest due: { $name }, in { $left }
screen_seals_next_unknown = { $name }: age not known
screen_seals_none = No seals are listed
screen_seals_replace = Replace it. { $why }
screen_seals_serviced = Serviced by { $who }
# The service of a seal
screen_service_back = Put it in, lying flat all round
screen_service_back_text = Not twisted, and nothing under it
screen_service_back_bad = Put a new ring in, lying flat all round
screen_service_bad_confirm = { $what }: then this ring must not go back in, and that goes on record. Is it so?
screen_service_bad = { $what }: this ring must not go back
screen_service_box_lacks = The box has no ring that fits
screen_service_clean = Clean the ring, its groove and the face
screen_service_clean_text = No thread of the cloth left in the groove
screen_service_clean_bad = Clean the groove and the face
screen_service_confirms = For the step of the prep this confirms: { $parts }
screen_service_found = Found: { $what }
screen_service_grease = Grease it thinly
screen_service_grease_bad = Grease the new ring thinly
screen_service_grease_text = A shine, no lumps
screen_service_keep_confirm = { $what }: it may leak, and the rig will not be ready with it. Did it go back all the same?
screen_service_look = Look at it all round, under a light
screen_service_look_text = Run it through clean fingers. What is on it?
screen_service_new_ring = New ring: { $name }
screen_service_note_title = The same ring, with a note
screen_service_place = { $n } of { $of }
screen_service_too_old_confirm = By ISO 2230 it could be fitted until { $until }. It will stand in the way. Fitted all the same?
screen_service_wants_new = Wants a new ring
screen_sign_alone_text = { $what }: { $who }. Look at it afresh, with your hands, and take a photo of it as it is now. The rig's answer will say that it rests on one person's word.
screen_sign_aside = { $n ->
    [one] one reading set aside as mistyped
   *[other] { $n } readings set aside as mistyped
}
screen_sign_asked = { $name }: look at it yourself
screen_sign_code = Code of { $name }
screen_sign_code_hint = Typed by who signs, unseen by others
screen_sign_hold = Hold of { $name }
screen_sign_hold_of = { $n ->
    [one] one reading over { $time }, limit { $limit }
   *[other] { $n } readings over { $time }, limit { $limit }
}
screen_sign_limit_changed = the limit was { $limit } when it began
screen_sign_loss_text_there = Sign only if it was there when the housing was held. If it came since, open, close and hold again instead.
screen_sign_loss_text = It stands as a remark until the next build. Who signs looked at what is there now.
screen_sign_look_again = Look at it again, alone
screen_sign_nobody = Nobody else is in the crew. Add the other member, or say on the crew's page that you are one
screen_sign_not_there = If { $name } isn't here, the crew's page says who else may be asked; whoever left is marked so there.
screen_sign_open = open
screen_sign_recheck_again = Does not count any more: recheck again
screen_sign_photos = { $n ->
    [one] One photo
   *[other] { $n } photos
}
screen_sign_plug_in = plug in: { $who }
screen_sign_plugs = See and touch every plug
screen_sign_plugs_text = Each plug home and tight by hand. A forgotten plug floods the rig.
screen_sign_said_walked = Walked round. Another member looks and signs.
screen_sign_said_walked_alone = Walked round. Look again some minutes later, with a photo.
screen_sign_text = { $what }: { $who }. Hand the phone over. Who signs looked at it with their own eyes and hands.
screen_sign_walk = Walk round the closed rig, two of you
screen_sign_walk_alone = Walk round the closed rig, twice
screen_sign_walk_text = One reads, one touches. Whatever isn't as it should be is put right before either signs.
screen_sign_walk_text_alone = Read it out and touch it, the second time some minutes later. Whatever isn't as it should be is put right before you sign.

# The box of rings
screen_box_add_title = Put rings in the box
screen_box_count_again = More rings were taken than put in: count them again
screen_box_count_hint = What is there now; it stands for all that was put in and taken before
screen_box_cured = cured { $cured }
screen_box_empty = The crew's spare rings will stand here: how many, from which pack, until when they may be fitted. A ring that is fitted leaves the box by itself.
screen_box_how_many = How many
screen_box_in = { $n ->
    [0] None left
   *[other] { $n } in the box
}
screen_box_inspect = Past the years of ISO 2230 since { $until }: only after the inspection it asks for
screen_box_minus = { $n } more taken than put in
screen_box_none = Nothing is in the box
screen_box_pack = pack { $pack }
screen_box_rings = { $n ->
    [0] No ring is left
    [one] One ring in the box
   *[other] { $n } rings in the box
}
screen_box_rings_old = { $n ->
    [0] No ring to fit
    [one] One ring to fit
   *[other] { $n } rings to fit
}, { $old } too old
screen_box_said_counted = Counted
screen_box_said_stocked = Put in the box
screen_box_said_taken = One taken out
screen_box_shore = { $hardness } Shore A
screen_box_title = The box of rings
screen_box_too_old = Too old to be fitted since { $until } (ISO 2230)
screen_box_until = May be fitted until { $until } (ISO 2230)

# Rings for a shoot
screen_spares_before = Before the first day
screen_spares_blocks = Stands in the way from: { $day }
screen_spares_counted = { $n ->
    [0] Counted without an opening
    [one] Counted with every closure opened once a day, each day to its end
   *[other] Counted with every closure opened { $n } times a day, each day to its end
}
screen_spares_day = Day { $n }, { $date }
screen_spares_days = Days
screen_spares_dives = Dives a day
screen_spares_empty = Say how many days, dives and openings are planned: what falls due when, and which rings to pack, will stand here.
screen_spares_enough = The box has all that these days want
screen_spares_first_day = First day
screen_spares_first_day_hint = Year, month, day: 2026-06-03
screen_spares_fresh = Fresh
screen_spares_have = { $have ->
    [0] The box has none
   *[other] The box has { $have }
}{ $order ->
    [0] .
   *[other] : order { $order }.
}
screen_spares_in_salt = In salt water
screen_spares_no_size = Rings whose size nobody wrote down
screen_spares_none = No shoot is planned
screen_spares_nothing_due = Nothing falls due on these days
screen_spares_openings = Openings a day
screen_spares_openings_hint = Of each closure; count the ports changed and the batteries charged
screen_spares_order = { $n ->
    [one] Order one ring
   *[other] Order { $n } rings
}
screen_spares_plan_title = The planned shoot
screen_spares_said_planned = Shoot planned
screen_spares_salt = Salt
screen_spares_take = Take { $n }: { $seals ->
    [one] one for the seal
   *[other] one for each of { $seals } seals
}{ $due ->
    [0] .
    [one] {" "}and one that falls due.
   *[other] {" "}and { $due } that fall due.
}
screen_spares_title = Rings for a shoot
screen_spares_too_old = { $n ->
    [one] One more in it is too old by then.
   *[other] { $n } more in it are too old by then.
}
screen_spares_water = Water

# Journal
screen_journal_changed = Changed by an edit: to be proved anew
screen_journal_chose = Crew's choice
screen_journal_closed = Closed
screen_journal_code_set = Set a code of their own
screen_journal_control_fails = Control does not work
screen_journal_control_works = Control works
screen_journal_count = { $n ->
    [one] One entry
   *[other] { $n } entries
}
screen_journal_defect = Defect
screen_journal_defect_closed = Defect put right
screen_journal_dive = Dive
screen_days_any = All
screen_days_controls = { $n ->
    [one] A control tested
   *[other] { $n } controls tested
}
screen_days_crew = crew and phones
screen_days_faults = what was wrong
screen_days_filter = What to show
screen_days_housing = Of which housing
screen_days_kind = Of which kind
screen_days_member = By whom
screen_days_none = Nothing of this is in the journal.
screen_days_none_yet = Nothing of this among the newest entries. Older ones may have it.
screen_days_only = Only { $what }
screen_days_photos = photos
screen_days_proof = holds and rechecks
screen_days_readings = { $n ->
    [one] one reading
   *[other] { $n } readings
}
screen_days_rig = changes of the rig
screen_days_rings = { $n ->
    [one] A ring serviced
   *[other] { $n } rings serviced
}
screen_days_rings_kind = rings
screen_days_span = { $from } to { $to }
screen_days_steps = { $n ->
    [one] one step done
   *[other] { $n } steps done
}
screen_days_today = Today, { $day }
screen_days_water = dives and trim
screen_days_words = With these words
screen_days_work = preps, openings, tests
screen_days_yesterday = Yesterday, { $day }
screen_journal_empty = What is done will stand here, with who and when
screen_journal_faulty = A ring that must not go back: { $name }
screen_journal_fitted = New ring: { $name }
screen_journal_handed_over = Prep handed over
screen_journal_hold_abandoned = Hold given up
screen_journal_hold_concluded = Hold ended
screen_journal_hold_judged_again = Hold judged again
screen_journal_hold_started = Hold started
screen_journal_in_use = Rig in use again
screen_journal_unread_answered = Looked up elsewhere what can't be read here
screen_journal_took_away = An edit took away
screen_journal_took_away_setting_up = Changed while it was set up
screen_journal_loss_signed = Signed for an edit
screen_journal_inspected = Looked over after what may have harmed it: { $name }
screen_journal_looked_again = Looked at again, and not so: { $name }
screen_journal_member = Crew member
screen_journal_member_back = Back in the crew
screen_journal_member_left = Left the crew
screen_journal_members_both = { $one } and { $other }
screen_journal_members_joined = Two names, one person
screen_journal_of_rig = { $rig }. { $who }
screen_journal_opened = Opened
screen_journal_old_ring = on the old one: { $found }
screen_journal_part_off = Part taken back
screen_journal_part_on = Part confirmed
screen_journal_phone_of = This phone has an owner
screen_journal_device_admitted = A phone is of this crew
screen_journal_device_before = A phone was known before phones were asked about
screen_journal_device_by_code = Joined by the code of a phone
screen_journal_device_dismissed = A phone is not of this crew
screen_journal_device_invited = A code to join by was shown
screen_journal_device_invited_how = One phone joins by it
screen_journal_device_joined = A phone has read a code to join by
screen_journal_device_same = This phone goes on under another key
screen_journal_device_uninvited = A code to join by is good for nothing any more
screen_journal_photo = Photo
screen_journal_plug_off = Plug out
screen_journal_plug_on = Plug in
screen_journal_plug_signed = Plug looked at a second time
screen_journal_prep_cut = Prep ended early
screen_journal_prep_ended = Prep ended
screen_journal_prep_started = Prep started: { $title }
screen_procedure_beside = No procedure here has its id: it comes beside the others
screen_procedure_brought_by = brought in by { $who }
screen_procedure_built_in = built in
screen_procedure_gone = It is no longer at hand: hand the file in again
screen_procedure_is = { $kind }: { $steps }
screen_procedure_known = '{ $title }' is here already, word for word
screen_procedure_left = Left out. Nothing was recorded
screen_procedure_no = Leave it out
screen_procedure_q = Does your crew want to work by this procedure?
screen_procedure_replaces = It takes the place of '{ $title }' ({ $from }; { $steps })
screen_procedure_steps = { $n ->
    [one] 1 step
   *[other] { $n } steps
}, { $two } of them signed by two
screen_procedure_under_way = Preps under way go on with the steps that they began with
screen_procedure_was_for = That one is of another kind: { $kind }
screen_procedure_whose = The file doesn't say who wrote it: whoever says yes brings it in by name
screen_procedure_yes = Yes: bring it in
screen_journal_procedure = Procedure brought in
screen_journal_reading = Reading
screen_journal_reading_aside = Reading set aside
screen_journal_steps = The gauge shows coarser steps than was said
screen_journal_steps_stand = The gauge shows the steps that were said
screen_journal_recheck_changed = Recheck: changed
screen_journal_recheck_mistyped = Recheck called a slip of typing
screen_journal_recheck_same = Recheck: nothing has changed
screen_journal_recheck_unclear = Recheck: could not tell
screen_journal_retired = Rig retired
screen_journal_retracted = Taken back
screen_journal_rig_edited = Rig edited
screen_journal_plan = Planned dive changed
screen_journal_lens = Lens changed: { $name }
screen_journal_rig_made = Rig made
screen_journal_rings_counted = { $n ->
    [0] Rings counted: none is left
    [one] Rings counted: one is left
   *[other] Rings counted: { $n } are left
}
screen_journal_rings_stocked = { $n ->
    [one] One ring put in the box
   *[other] { $n } rings put in the box
}
screen_journal_rings_taken = { $n ->
    [one] One ring taken out of the box
   *[other] { $n } rings taken out of the box
}
screen_journal_seal_age = Age of the ring: { $name }
screen_journal_serviced = Serviced: { $name }
screen_journal_shoot = Shoot planned
screen_journal_shoot_days = { $n ->
    [one] One day, { $day }
   *[other] { $n } days from { $day }
}
screen_journal_step_done = Step done
screen_journal_step_reopened = Step open again
screen_journal_step_signed = Second signature
screen_journal_step_skipped = Step skipped
screen_journal_title = Journal
screen_journal_unknown = Written by a newer version
screen_journal_walk_signed = Signed for the walk round
screen_journal_walked = Walked round the closed rig
screen_journal_water = Water found
screen_journal_hung = Weights hung
screen_journal_hung_none = no { $what } any more
screen_journal_seen_in_water = Seen in the water
screen_journal_trimmed = Trimmed
screen_journal_water_chosen = Water of the day
screen_journal_hold_imported = Hold brought in, { $n } readings
screen_journal_gauge = Gauge
screen_journal_gauges_compared = Gauges compared
screen_entry_at = { $time }
screen_entry_device = Entry { $seq } of device { $device }
screen_entry_forged = This entry is not what its device signed
screen_entry_apart = This entry counts for nothing: this crew doesn't know the phone that wrote it, or knows it no longer
screen_entry_sound = Signed by its device and unchanged since

# Phones
screen_phones_about_crew = the crew
screen_phones_about_rig = a rig unknown here
screen_phones_admits_this = It knows this phone as of its crew already.
screen_phones_admitted_by = Said to be of the crew: { $who }
screen_phones_again = It is this crew's again
screen_phones_apart = { $n ->
    [one] 1 entry about { $about } counts for nothing here.
   *[other] { $n } entries about { $about } count for nothing here.
}
screen_phones_choice = { $choice }: { $now } → { $then }
screen_phones_code = { $name }'s code for signing would be another
screen_phones_code_gone = { $name }'s code for signing would be gone
screen_phones_code_new = { $name }'s code for signing comes along
screen_phones_compare = Whoever holds that phone sees the same code at the end of its crew page. Compare the two before you say yes.
screen_phones_dismissed = Not of this crew
screen_phones_dismissed_by = Said by { $who }
screen_phones_compared = The last comparison of the gauge '{ $name }' with another would be another
screen_phones_disputed = Another phone of this crew says that it is no longer yours, and it says the same of that one. Say which is right
screen_phones_earlier = This phone, under an earlier key
screen_phones_entries = { $n ->
    [one] 1 entry
   *[other] { $n } entries
}
screen_phones_gauge = The gauge '{ $name }' is changed
screen_phones_gauge_gone = The gauge '{ $name }' would be gone
screen_phones_gauge_new = The gauge '{ $name }' comes along
screen_phones_figure = { $rig }: { $what }
screen_phones_rings = { $n ->
    [one] One kind of ring in the box would be another, or counted otherwise
   *[other] { $n } kinds of ring in the box would be others, or counted otherwise
}
screen_phones_if_dismissed = No longer yours (lost, sold, handed back): what it wrote until now stands; what it writes from now on counts for nothing, on every phone of the crew that hears of it.
screen_phones_join_q = Is this your crew's record?
screen_phones_join_title = A record of another phone
screen_phones_join_yes = It is our crew's record: this phone goes on with it
screen_phones_member_left = { $name } would no longer be in the crew
screen_phones_member_new = { $name } would be in the crew
screen_phones_member_renamed = { $name } would be called { $then }
screen_phones_more = { $n ->
    [one] and 1 more of these
   *[other] and { $n } more of these
}
screen_phones_nameless = A phone of this crew
screen_phones_no = Not ours: it stays apart and counts for nothing
screen_phones_no_more = No longer ours
screen_phones_lost = { $n ->
    [one] A phone of yours would count no longer: that one dismissed it
   *[other] { $n } phones of yours would count no longer: that one dismissed them
}
screen_phones_not_ready = not ready
screen_phones_nothing = Nothing that this phone tells you now would change.
screen_phones_notice_dismissed = { $n ->
    [one] A phone that is not, or no longer, this crew's: 1 entry about { $about } counts for nothing. Look at it on the crew page.
   *[other] A phone that is not, or no longer, this crew's: { $n } entries about { $about } count for nothing. Look at them on the crew page.
}
screen_phones_notice_more = { $n ->
    [one] And 1 more phone whose entries count for nothing: see the crew page.
   *[other] And { $n } more phones whose entries count for nothing: see the crew page.
}
screen_phones_notice_this = Another phone of the crew says that this one is no longer the crew's ({ $who }): what is recorded here from then on counts for nothing there. If that is wrong, say so on the crew page of that phone.
screen_phones_notice_unknown = { $n ->
    [one] A phone that this crew doesn't know: 1 entry about { $about }. It counts for nothing until a member says on the crew page that the phone is yours.
   *[other] A phone that this crew doesn't know: { $n } entries about { $about }. They count for nothing until a member says on the crew page that the phone is yours.
}
screen_phones_of = { $name }'s phone
screen_phones_others = { $n ->
    [one] 1 more phone would count with it, which it took into its crew
   *[other] { $n } more phones would count with it, which it took into its crew
}
screen_phones_procedure = The procedure '{ $name }' is changed
screen_phones_procedure_gone = The procedure '{ $name }' would be gone
screen_phones_procedure_new = The procedure '{ $name }' comes along
screen_phones_q = Is this phone this crew's?
screen_phones_ready = ready
screen_phones_renamed = It would be called { $then }
screen_phones_rig_more = { $name }: more would be known of it; { $then }, as now
screen_phones_rig_new = { $name }: a new rig, { $then }
screen_phones_rig_turns = { $name }: { $now } → { $then }
screen_phones_role = { $name }: { $now } → { $then }
screen_phones_said_admitted = What it wrote counts now.
screen_phones_said_apart = A phone that this crew doesn't know wrote some of it: kept apart.
screen_phones_said_dismissed = It counts for nothing from here on.
screen_phones_since = Wrote first on { $day }
screen_phones_still = Still ours
screen_phones_new_here = A phone not known here
screen_phones_then = If you say yes:
screen_phones_then_others = The same comes about on every phone of the crew that hears of your yes.
screen_phones_this = This phone
screen_phones_unknown = A phone that this crew doesn't know
screen_phones_writes_as = It writes in the name of '{ $name }'.
screen_phones_writes_as_nobody = No member is named in what it wrote last.
screen_phones_yes = It is ours: what it wrote counts

# Crew
screen_crew_add_title = Add a crew member
screen_crew_alone = The crew is one person
screen_crew_choice_common = what is common
screen_crew_choice_no = no
screen_crew_choice_other = chosen in a newer version
screen_crew_choice_unit_pressure = Unit of pressure
screen_crew_choice_unit_temperature = Unit of temperature
screen_crew_choice_unit_depth = Unit of depth
screen_crew_choice_unit_water = Unit of water
screen_crew_choice_unit_weight = Unit of trim weights
screen_crew_choice_error_inside = Error of the thermometer inside
screen_crew_choice_error_surface = Error of the probe on the housing
screen_crew_choice_error_air = Error of the thermometer in the air
screen_crew_choice_error_barometer = Error of the barometer
screen_crew_choice_unknown = A choice that this version doesn't know
screen_crew_choice_yes = yes
screen_crew_alike = Two have this name, and count as one person. One and the same: say so under Change. Two people: give one another name
screen_crew_code = Code of { $name }
screen_crew_code_here = Code of this phone: { $code }
screen_crew_code_of = Code { $code }
screen_crew_code_hint = Four characters or more. It keeps another from signing on this phone; it is no secret worth reusing: who has the crew's file can find a short code
screen_crew_code_new = New code
screen_crew_code_none = None yet: can't sign
screen_crew_code_old = The code until now
screen_crew_code_set = Set
screen_crew_device = Device { $device }
screen_crew_empty = The crew will stand here. Two people sign the steps that matter most.
screen_crew_name = Name
screen_crew_no_name = A name of nobody: signs nothing until renamed
screen_crew_phone = This phone
screen_crew_phone_nobodys = Nobody's own: nobody can sign on it
screen_crew_phone_of = { $name }'s own
screen_crew_phone_title = Is this phone { $name }'s own?
screen_crew_recheck_limit = A recheck counts for
screen_crew_recheck_limit_hint = Two hours unless you set it
screen_crew_recheck_limit_label = Minutes
screen_crew_role = Does
screen_crew_said_added = Added: { $name }
screen_crew_said_added_second = { $name } is in the crew. From now on a second member signs, and no longer one of you alone.
screen_crew_said_changed = Changed
screen_crew_said_code = The code is set
screen_crew_unit_depth = Depth
screen_crew_unit_pressure = Pressure
screen_crew_unit_temperature = Temperature
screen_crew_unit_water = Water
screen_crew_unit_weight = Trim weights
screen_crew_units = Units
screen_crew_version = Slackwater { $version }
screen_crew_gauge = Gauge
screen_crew_gauge_words = { $kind }, in steps of { $step }
screen_crew_gauge_checked = checked { $when }
screen_crew_gauge_checked_label = Last checked
screen_crew_gauge_name = Name of the gauge
screen_crew_gauge_accuracy = May be off by
screen_crew_gauge_accuracy_hint = By its maker, in its unit; it cancels in a hold
screen_crew_gauge_retired = Out of use
screen_crew_gauges_agree = Agrees with { $other } ({ $when })
screen_crew_gauges_differ = { $amount } off from { $other }, more than both may be off ({ $when })
screen_crew_language = Language of this phone
screen_crew_language_hint = It changes no other phone. Names, notes and the steps of procedures stay as they were written
screen_crew_language_phone = As the phone is set
screen_crew_left = Left the crew
screen_crew_left_hint = What they signed stands; they are asked for nothing more
screen_crew_left_q = Left the crew
screen_crew_compare_title = Both gauges on the same vacuum
screen_crew_compare_this = One gauge
screen_crew_compare_that = The other gauge
screen_crew_compare_reads = It reads, as vacuum
screen_crew_compare_hint = Read both within the same minute
screen_crew_errors = Errors you have measured
screen_crew_errors_words = { $n ->
    [0] none: what is common is taken
    [one] one of four
   *[other] { $n } of four
}
screen_crew_errors_hint = A thermometer: how far the gas may be from what it says at one moment. The barometer: how far its error may change during one hold. Each as one standard deviation. Left empty, what is common is taken: 0.1, 0.3 and 1 K, and 0.15 mbar. In the air, less than 1 K changes nothing: the gas is no nearer to it.
screen_crew_error_inside = Thermometer inside
screen_crew_error_surface = Probe on the housing
screen_crew_error_air = Thermometer in the air
screen_crew_error_barometer = Barometer

# Editing a rig
screen_edit_bayonet = Bayonet or threaded ring
screen_edit_cable_ends = From { $from } to { $to }
screen_edit_cables = Cables
screen_edit_capacity = Weights it takes
screen_edit_circle = On a circle
screen_edit_closure = Disturbed by opening
screen_edit_closure_kind = Held shut by
screen_edit_closures = Closures
screen_edit_controls = Controls
screen_edit_displaced = Displaced volume
screen_edit_drives = Gear drives
screen_edit_enclosure = Enclosure
screen_edit_enclosures = Enclosures
screen_edit_frame = On a frame
screen_edit_from = From
screen_edit_function = Function assigned
screen_edit_hard_days = Blocks after days
screen_edit_hard_openings = Blocks after openings
screen_edit_gland_depth = Depth of the gland
screen_edit_gland_depth_hint = Groove and clearance together
screen_edit_gland_face = Between two faces
screen_edit_gland_kind = It squeezes the ring
screen_edit_gland_of = Gland of { $name }
screen_edit_gland_radial = Round a barrel
screen_edit_gland_tol = Each known within
screen_edit_gland_tol_hint = Plus and minus
screen_edit_gland_width = Width of the groove
screen_edit_hard_dives = Blocks after dives in salt water
screen_edit_hardness = Hardness
screen_edit_latch = Latches
screen_edit_lenses = Lenses
screen_edit_limit = Limit of the leak, per dive
screen_edit_limit_hint = Water that may come in on the planned dive. Left empty: the built-in limit, { $water } for { $volume } of free gas, which a quarter of an hour can show at best. It does not say that so much is harmless.
screen_edit_list_hint = Several, with commas between
screen_edit_mass = Mass in air
screen_edit_mass_x = Centre of mass, forward
screen_edit_mass_y = Centre of mass, to the rig's right
screen_edit_mass_z = Centre of mass, up
screen_edit_name = Name
screen_edit_new_cable = New cable
screen_edit_new_closure = New closure
screen_edit_new_control = New control
screen_edit_new_enclosure = New enclosure
screen_edit_new_lens = New lens
screen_edit_new_part = New part
screen_edit_new_point = New mounting point
screen_edit_new_seal = New seal
screen_edit_new_strip = New item
screen_edit_no_closure = None
screen_edit_not_known = Not known
screen_edit_notice = What is added here has to be proved. The version before stays in the journal.
screen_edit_parts = Parts with mass and volume
screen_edit_points = Mounting points
screen_edit_rating = Depth rating
screen_edit_rating_hint = By its maker
screen_edit_reads_plugged = The gauge reads with the plug in
screen_edit_remove_confirm = Take { $name } off the rig? Its history stays.
screen_edit_put_back = { $name }, taken off { $when }: put it back (to be proved)
screen_edit_put_back_confirm = Put { $name } back, as it was when it was taken off? Its history goes on, and nothing that was proved before counts: its seals are serviced, it is closed and held again, its plug looked at and its controls tried.
screen_edit_left_out = Not put back, since something else on the rig stands in its place by now: { $names }.
screen_edit_said_put_back = Put back; to be proved.
screen_edit_rings = Extension rings, from the housing outwards
screen_edit_said_kept = Changed
screen_edit_said_removed = Taken off the rig
screen_edit_screw_count = Number of screws
screen_edit_screw_shape = The screws lie
screen_edit_screws = Screws
screen_edit_seals = Seals
screen_edit_seat = Diameter the ring sits on
screen_edit_seat_hint = Inner wall of a face groove, bottom of a groove round a barrel
screen_edit_soft_days = Warns after days
screen_edit_soft_dives = Warns after dives in salt water
screen_edit_soft_openings = Warns after openings
screen_edit_strip = Strip list
screen_edit_to = To
screen_edit_valve = It has a vacuum valve
screen_edit_volume = Free gas volume
screen_edit_volume_hint = With everything inside that will be inside
screen_edit_volume_sd = Known within
screen_edit_volume_x = Centre of volume, forward
screen_edit_volume_y = Centre of volume, to the rig's right
screen_edit_volume_z = Centre of volume, up
screen_edit_weight_count = How many
screen_edit_weight_mass = Mass of one
screen_edit_weight_volume = It displaces
screen_edit_weight_volume_hint = Leave empty for lead. A float displaces more than it weighs.
screen_edit_weights = Box of trim weights
screen_edit_new_weight = New size of weight
screen_edit_penetrators = Penetrators
screen_edit_new_penetrator = New penetrator
screen_edit_torque = Final torque by its maker
screen_edit_x = Forward
screen_edit_y = To the rig's right
screen_edit_z = Up
screen_edit_known = The bottle holds
screen_edit_known_hint = A rigid bottle or tank full of outside air, with its hose, opened to the enclosure under vacuum. Not a syringe: its plunger is drawn in.
screen_edit_stroke = One stroke takes
screen_edit_strokes = Number of full strokes
screen_edit_before = Vacuum before
screen_edit_after = Vacuum after
screen_edit_after_hint = After the gas has come back to temperature, some minutes
screen_edit_said_measured = Free volume { $volume }, give or take { $take }
screen_edit_outer = The closed enclosure displaces
screen_edit_outer_hint = From its data sheet, or weighed in air and hanging in fresh water: the difference in kg is litres
screen_edit_walls = Its own walls, window and port
screen_edit_walls_hint = Its empty weight over its material's density: 2.7 kg a litre for aluminium
screen_edit_contents = What is inside displaces
screen_edit_contents_hint = Camera, lens, batteries, tray: length times width times height of each, less what is hollow

screen_edit_mass_sd = Mass known within
screen_edit_mass_sd_hint = One standard deviation; 1 % of the mass unless you say
screen_edit_inside = Shut inside a housing
screen_edit_inside_hint = A battery, a lens: it weighs, and displaces nothing of its own
screen_edit_is_inside = inside
screen_edit_displaced_hint = Of what is sealed, the outside; of what floods, the material
screen_edit_displaced_sd = Volume known within
screen_edit_displaced_sd_hint = One standard deviation; 2 % of the volume unless you say
screen_edit_origin = From the point that you measure everything from: keep to one, such as the middle of the foot
screen_edit_centre_sd = Both centres known within
screen_edit_centre_sd_hint = One standard deviation; a twentieth of the part's size unless you say
screen_edit_foam = Pressed by depth
screen_edit_foam_none = No: metal, glass, a housing
screen_edit_foam_soft = Soft foam
screen_edit_foam_stiff = Stiff foam
screen_edit_gas = Gas in it, at the surface
screen_edit_gas_hint = For soft foam: 80 to 90 % is common
screen_edit_bulk = Bulk modulus
screen_edit_bulk_hint = For stiff foam, by its maker
screen_edit_with_lens = On the rig with { $name }
screen_edit_in_place_of = Fitted in place of
screen_edit_in_place_of_none = Nothing: it is always there
screen_edit_max_mass = Takes at most
screen_edit_max_mass_hint = In all, if its maker or your bracket sets a limit
screen_edit_weigh_air = The scale shows in air
screen_edit_weigh_water = It shows with the part under water
screen_edit_weigh_water_hint = Hanging free, no bubbles on it; with the sinker if it floats
screen_edit_weigh_sinker = The sinker alone under water
screen_edit_weigh_sinker_hint = Only where the part floats
screen_edit_weigh_scale = The scale can be read to
screen_edit_weigh_scale_hint = One standard deviation; for a hanging scale more than its last digit
screen_edit_weigh_in = In which water
screen_edit_weigh_known = Of known density
screen_edit_weigh_density = Density of that water
screen_edit_weigh_density_hint = Only where you know it
screen_edit_said_weighed = { $mass }, give or take { $mass_take }; { $volume }, give or take { $volume_take }
screen_edit_syringe = Air in the syringe
screen_edit_syringe_hint = Full of outside air, joined to the enclosure under vacuum: the plunger goes in to its end, and all of the air with it. Best some hundredths of the free volume.
screen_edit_sure = If it is far from what stood there
screen_edit_sure_no = ask me
screen_edit_sure_yes = I have looked again: it is right

# Waters
screen_water_brackish = Brackish sea
screen_water_cold_sea = Cold sea
screen_water_fresh = Fresh water
screen_water_planned = Water of the planned dive
screen_water_pool = Pool
screen_water_salt_pool = Salt-chlorinated pool
screen_water_salty_sea = Enclosed salty sea
screen_water_sea = Open sea
screen_water_warm_sea = Warm sea

# Trim
screen_trim_add_at = add { $what } at { $points }
screen_trim_add_more = { $what } more
screen_trim_aim_heavy = Heavy by
screen_trim_aim_hint = Below zero for a rig that is to rise by itself
screen_trim_aim_title = How heavy is it to be in the water?
screen_trim_as_expected = It hung as expected
screen_trim_as_listed = All hangs as listed
screen_trim_attitude_unsure = which way it turns can't be said
screen_trim_best = Better than this isn't to be had with these weights
screen_trim_by = { $what } by { $amount }
screen_trim_cause_water = water
screen_trim_cause_weights = weights
screen_trim_cause_without = without { $name }
screen_trim_caveat = Not seen here: air trapped under covers, a housing that shrinks with depth and cold, current, the pull of a cable. Try it in shallow water first.
screen_trim_count = How many hang there now
screen_trim_count_hint = 0 for none
screen_trim_depth = At which depth
screen_trim_depth_hint = It matters for foam
screen_trim_lift = Lift
screen_trim_what_then = Then: { $todo }
screen_trim_done = Trimmed
screen_trim_down = { $by } down
screen_trim_empty_box = The weight box is empty, and the rig is { $amount } off
screen_trim_figure_floats = Floats by
screen_trim_figure_lean = Leans to a side
screen_trim_figure_net = Net force, up
screen_trim_figure_nose = Nose up or down
screen_trim_figure_nose_down = Nose down
screen_trim_figure_nose_up = Nose up
screen_trim_figure_left = Leans to its left
screen_trim_figure_righting = Turns back, from 10°, with
screen_trim_figure_sinks = Heavy by
screen_trim_figure_right = Leans to its right
screen_trim_floats = floats by { $amount }, give or take { $take }
screen_trim_forward = { $by } forward
screen_trim_aft = { $by } aft
screen_trim_from_front = From the front
screen_trim_from_right = From its right
screen_trim_front = Front
screen_trim_hang = { $point }: { $what }
screen_trim_hang_title = What hangs there now
screen_trim_in_place_of = In place of { $name }
screen_trim_indifferent = stays as it is turned
screen_trim_instead = { $new } instead of { $old }
screen_trim_kept_by = Kept by { $who }
screen_trim_lacking = One { $name } fewer in the box
screen_trim_lean_unsure = how it leans can't be said
screen_trim_leans_left = leaning { $angle } to its left
screen_trim_leans_right = leaning { $angle } to its right
screen_trim_legend_change = To be changed
screen_trim_legend_free = Nothing hangs
screen_trim_legend_hangs = Hangs as it should
screen_trim_legend_level = Level
screen_trim_legend_lift = Centre of buoyancy
screen_trim_legend_mass = Centre of mass
screen_trim_limit_both = either axis could be levelled, not both at once
screen_trim_limit_box = the box is used up
screen_trim_limit_lever = the weights don't reach far enough, with { $most } of the { $needed } N·m needed
screen_trim_limit_nothing = nothing in the box pulls the other way
screen_trim_limit_points = every mounting point is full
screen_trim_limit_steps = the box has no finer step
screen_trim_measured = Not trimmed since { $name } was measured anew
screen_trim_moved_mass = mass { $from } → { $to }
screen_trim_moved_mass_centre = centre of mass { $ways }
screen_trim_moved_volume = volume { $from } → { $to }
screen_trim_moved_volume_centre = centre of volume { $ways }
screen_trim_nearer = It hangs well enough. With the changes listed, it { $how }
screen_trim_never = Not trimmed yet
screen_trim_never_but_step = Trimmed without the list: '{ $step }' was done ({ $who })
screen_trim_no_parts = How it hangs can't be said: no part with mass and volume is on the rig
screen_trim_no_point = There is no mounting point for a weight, and the rig is { $amount } off
screen_trim_no_water = How it hangs can't be said of this water. { $why }
screen_trim_nose_down = nose { $angle } down
screen_trim_nose_level = nose level
screen_trim_nose_up = nose { $angle } up
screen_trim_not_proven = The net force is the best; a more level way to hang it may exist. Fewer sizes or points would tell.
screen_trim_nothing_to_change = nothing to change
screen_trim_now = Now it { $how }
screen_trim_other_parts = Trimmed with other parts or another lens than are on it now
screen_trim_other_water_denser = Trimmed for thinner water than that of the day: it will float more
screen_trim_other_water_thinner = Trimmed for denser water than that of the day: it will be heavier
screen_trim_other_weights = Other weights hang than when it was trimmed
screen_trim_outdated = Taught nothing any more: { $name } was measured anew or is gone
screen_trim_point = Mounting point
screen_trim_its_left = Its left
screen_trim_rear = Rear
screen_trim_said_aim = Changed
screen_trim_said_all = All of it hangs
screen_trim_said_fitted = Fitted: { $name }
screen_trim_said_hung = { $point }: { $what } hang
screen_trim_said_kept = Trim kept
screen_trim_said_learnt = Learnt from it
screen_trim_said_none = { $point }: no { $what }
screen_trim_said_taken_back = Taken back, with what it taught
screen_trim_said_taken_off = Taken off: { $name }
screen_trim_said_water = { $water }
screen_trim_salinity = Salinity, if you measured it
screen_trim_salinity_hint = Practical salinity, no unit; 35 in the open sea
screen_trim_seen_amount = By how much
screen_trim_seen_amount_hint = If you know it: what had to be added or taken off to make it stay
screen_trim_seen_degrees = By how much, about
screen_trim_seen_floated = Floated up
screen_trim_seen_level = Level
screen_trim_seen_net = Let go, it
screen_trim_seen_no_lean = Did not lean
screen_trim_seen_nose_down = Nose down
screen_trim_seen_nose_level = Nose level
screen_trim_seen_nose_up = Nose up
screen_trim_seen_not = Not looked at
screen_trim_seen_pitch = The nose
screen_trim_seen_roll = It leant
screen_trim_seen_sank = Sank
screen_trim_seen_stayed = Stayed where it was
screen_trim_seen_title = How did it hang, with what hangs now?
screen_trim_seen_to_left = To its left
screen_trim_seen_to_right = To its right
screen_trim_setting = { $water }
screen_trim_setting_lens = { $water }, { $lens }
screen_trim_sinks = is heavy by { $amount }, give or take { $take }
screen_trim_its_right = Its right
screen_trim_step_since = { $why }. '{ $step }' was done since ({ $who })
screen_trim_still_nose_down = Still { $angle } nose down
screen_trim_still_nose_up = Still { $angle } nose up
screen_trim_still_left = Still leaning { $angle } to its left
screen_trim_still_right = Still leaning { $angle } to its right
screen_trim_stray = { $what } hang at { $point }, which is no longer on the rig: not counted
screen_trim_surprising = That is far from what was expected. Look for something forgotten: a part, trapped air, a weight elsewhere.
screen_trim_take_at = take { $what } off { $points }
screen_trim_take_back_confirm = Take this back, and what it taught about the parts?
screen_trim_take_off = { $point }: take { $what } off
screen_trim_take_some = Take { $what } off
screen_trim_temperature = Temperature, if you measured it
screen_trim_temperature_hint = At the depth that matters
screen_trim_then = With all of it, it { $how }
screen_trim_to_do = { $n ->
    [one] One weight to change
   *[other] { $n } weights to change
}
screen_trim_to_left = { $by } to its left
screen_trim_to_right = { $by } to its right
screen_trim_too_heavy = At best still { $amount } too heavy
screen_trim_too_large = Too many ways to hang these weights. Fewer sizes, or fewer points, can be worked out.
screen_trim_too_light = At best still floats { $amount } too much
screen_trim_unknown = not known
screen_trim_up = { $by } up
screen_trim_water = Water
screen_trim_water_title = The water of the day
screen_trim_water_words = { $name }, { $temperature }, at { $depth }
screen_trim_weigh = To be surer, weigh { $name } in air and in water: give or take { $now } becomes { $after }
screen_trim_weight = Weight
screen_trim_with = With { $name }

# For a screen reader
a11y_trim_above = above
a11y_trim_at = { $across } towards { $side } and { $along } { $height } the centre of mass
a11y_trim_below = below
a11y_trim_lift = Centre of buoyancy { $where }
a11y_trim_nothing = nothing
a11y_trim_point = { $number }, { $name }: { $what } ({ $where })
a11y_hold_chart = Vacuum in { $unit } at constant temperature and barometer. Readings: { $readings }. Fitted at the end: { $fit }, between { $low } and { $high }. A leak at the limit would stand at { $limit }.

# The shell's own words
shell_back = Back
shell_undo = Undo
shell_no = No, leave it
shell_again = Try again
shell_older = Older entries
shell_choose_other = Choose another
shell_choose_photo = Choose a photo of this phone's
shell_no_camera = No camera app answers on this phone. Take the picture in another way, then choose it among this phone's photos.
shell_bringing = Coming in: { $percent } %
shell_give_up = Give it up
shell_file_unreadable = That file can't be read: the app that has it does not give it out (any more). Choose it again, or from another place.
shell_add_photo = Add a photo
shell_photo_note = Note on the photo
shell_keep_photo = Keep the photo
shell_drop_photo = Drop the photo
shell_light_title = Screen
shell_light_day = Day
shell_light_sun = Full sun
shell_light_night = Night

shell_recheck_title = Deck recheck
shell_seals_title = Seals
shell_trim_title = Trim
shell_trim_list = What to hang
shell_trim_swaps = Fitted
shell_trim_lessons = Learnt in the water
shell_trim_what_ifs = What if
shell_crew_title = Crew
shell_hold_title = Hold
shell_enclosures = Enclosures
shell_defects = Defects
shell_procedures = Preps and procedures
shell_plan = Plan
shell_controls = Controls
shell_pad_close = Put the keys away
shell_pad_delete = Take back a digit
shell_photos = Photos
shell_more = More
shell_retired = Retired
shell_readings = Readings
shell_figures = Figures
shell_history = History
shell_to_pack = To pack
shell_falls_due = Falls due
shell_members = Members
shell_choices = Limits and units
shell_about = About
shell_steps = All steps
shell_record = As recorded
shell_air = Air on deck

# Help: what a page asks, why, what can go wrong. One of each for every kind of place
help_about_what = What this program is, which version it is, and under which licences it and what is inside it stand.
help_about_why = A report of what went wrong needs the version. The licences want to be shown.
help_about_wrong = A program can be wrong, and knows only what it is told: nothing it says stands in for looking. What the app for this phone brings along besides the core is not on the list.
help_crew_what = Who is in the crew, who holds the phone, and what the crew has chosen: limits, units, gauges, phones.
help_crew_why = Names sign, and whatever is recorded bears the name of whoever holds the phone. Rechecks are judged by the limits chosen here.
help_crew_wrong = A phone that was lent and not handed over records in the wrong name. A longer limit lets an old recheck count. Before you take a phone in, compare its code with what that phone shows.
help_days_what = What happened on which day, and by whom.
help_days_why = A hold with its readings, a prep with its steps, a dive, a service: each is one line, and every entry of it a tap away.
help_days_wrong = Shown only in part, the journal looks emptier than it is: the page says what it is cut down to. What another phone recorded stands here only once its file has come in.
help_entry_what = What was recorded here, by whom, and on which phone.
help_entry_why = It stands as it was written, signed by that phone. A correction is an entry of its own.
help_entry_wrong = The signature proves the phone, not whose hand held it. A clock that was set wrong dates an entry wrongly.
help_hold_setup_what = What the gauge reads now, which gauge it is, and what is shut in with the air.
help_hold_setup_why = More than a leak moves a gauge: warmth, the barometer, a camera that ran, fresh desiccant, damp. The verdict allows for what may be so.
help_hold_setup_wrong = Another kind of gauge, another unit, a temperature taken elsewhere. Too deep a vacuum strains ports and closures: never go beyond what the maker allows.
help_hold_what = Is it tight, and how long must I still wait?
help_hold_why = Readings over time tell a leak from settling and from warmth. The limit is the crew's own, in water let in during the planned dive.
help_hold_wrong = Sun, wind, a warm hand or a running camera move the gauge. Minutes can't see a small leak: the page says what this hold could have missed. A vacuum proves the seals at a fraction of an atmosphere, from the other side; it can't prove them at depth.
help_journal_what = Every entry, one by one, the newest first.
help_journal_why = Production, insurer and rental house ask what was done, when and by whom. Nothing here is changed or deleted.
help_journal_wrong = What nobody recorded is not in it. What another phone recorded stands here only once its file has come in.
help_photo_what = What the photo shows, and what it belongs to.
help_photo_why = It tells more than a tick, also a year later. The original stays as it was taken.
help_photo_wrong = It shows what lay before the lens, not how the ring lay when the housing was shut. A file can be missing or damaged: the page says so, and the entry stands.
help_prep_what = What do I do now, and how do I know that it is right?
help_prep_why = A fixed order keeps two people who interrupt each other from leaving something out. What matters most a second person looks at, too.
help_prep_wrong = Ticked from memory, a step tells nothing. A hair on a ring, a strap in a closure, a plug left out: each floods a rig.
help_recheck_what = Has anything changed since the rig was proved?
help_recheck_why = What the gauge should read now follows from the hold, the temperature and the barometer. A reading further off, up or down, is a change.
help_recheck_wrong = Read off another housing, or typed so that it fits, the number tells nothing. A change is answered by a new hold, not by a second typing. A plug left out after the reading floods the rig.
help_rig_edit_what = What the rig is made of: housings, seals, closures, controls, parts, and their limits.
help_rig_edit_why = Holds, services and trim are judged by it.
help_rig_edit_wrong = A seal that is not on the list is not asked for. A volume too small makes a leak look smaller. Feet typed as metres make a rating three times too deep. Take figures from the maker's papers.
help_rig_what = May it go in the water now? If not, what stands in the way?
help_rig_why = The answer is worked out anew from what was recorded, and never set by hand. Opening a housing takes its hold, its recheck and its tests away.
help_rig_wrong = What nobody recorded is not known here: an opening, a dive, a knock. Ready means that everything asked for was done and nothing speaks against it. It does not mean that nothing can fail at depth.
help_rigs_what = Which rig, and may it go in the water?
help_rigs_why = Each rig says how it stands now; the one to dive first stands first.
help_rigs_wrong = Names alike get mixed up on deck. What another phone recorded counts here only once its file has come in.
help_ring_box_what = Which rings lie in the crew's box, and how many of each.
help_ring_box_why = A new ring is taken from here, and what is packed for a shoot is held against it.
help_ring_box_wrong = Rings age in the box, too. A lot entered with the wrong size or material goes wrong in every rig that takes from it.
help_seal_what = How this ring stands: its size, its age, what was done to it and what it waits for.
help_seal_why = A ring is judged by days, openings and dives since it was fitted, and by whether it was disturbed since it was last looked at.
help_seal_wrong = A ring of another size or material, or a grease that swells it, seals today and fails later. Where the maker's manual says less than the limits here, less holds.
help_seals_what = Which ring next, and why?
help_seals_why = Rings age by days, openings and dives. One that was disturbed is looked at, cleaned and greased before it seals again.
help_seals_wrong = A ring past its hard limit keeps the rig from being ready. The limits are the crew's: where the maker's manual says less, less holds.
help_service_what = What do you see on the ring and in its groove? One thing at a time.
help_service_why = Hairs, grit, nicks and a dry or twisted ring let water in. Whatever was found stays in the record.
help_service_wrong = A nick is not cleaned away: fit a new ring. A sharp tool scratches the groove. Thick grease holds grit, and a grease that does not suit the ring swells it. A hair can hold a vacuum and leak in the water.
help_spares_what = Which rings fall due over the planned shoot, and which to pack?
help_spares_why = It is reckoned from the days, openings and dives of the plan.
help_spares_wrong = A plan shorter than the shoot leaves you without a ring. Nicks come unplanned: pack one for every seal as well.
help_start_what = Who you are, which gauge you read and which rig you build: once, on a new phone.
help_start_why = Every entry bears a name, every hold is read off a gauge, every proof belongs to a rig.
help_start_wrong = Where your crew has a record already, join it by its file and found no second one. One person under two names could sign twice, though nobody else looked.
help_trim_what = What do I hang where, so that the rig hangs level and a touch heavy?
help_trim_why = It is reckoned from what each part weighs and displaces, and from the water of the day.
help_trim_wrong = What was neutral in the pool floats up in the sea. A part that was not weighed is a guess. A rig that sinks or rises by itself takes a diver along: try it in shallow water first.

# Drawing over a photo
action_draw_over = Draw over it
action_sketch_arrow = An arrow
action_sketch_ring = A ring around it
action_sketch_words = A word beside it
action_sketch_bare = The photo as it was taken
action_sketch_done = Done drawing
action_sketch_draw = Draw
action_sketch_place = Then tap where it goes
action_sketch_take_back = Take it back
error_sketch_small = Nobody would see that: drag further, or write a word
error_sketch_outside = That is not on the photo
error_sketch_full = 40 marks are over this photo: take one back first
error_sketch_gone = That mark is gone already
error_sketch_words_long = At most 40 characters fit over a photo
screen_sketch_title = Drawing over a photo
screen_sketch_ask_arrow = Tap where the arrow begins, then what it points at. Or drag from one to the other
screen_sketch_ask_ring = Tap two corners of what the ring goes around. Or drag from one to the other
screen_sketch_ask_words = Which word?
screen_sketch_place = Tap where “{ $text }” begins
screen_sketch_bare = The photo as it was taken
screen_sketch_broken = There is no picture here to draw over
screen_sketch_arrow = Arrow
screen_sketch_ring = Ring
screen_sketch_quoted = “{ $text }”
screen_sketch_drawn = Drawn over it
screen_sketch_take_back_confirm = Take this mark back? That it was drawn stays in the journal.
screen_sketch_said = Drawn
screen_sketch_text = Word or two
screen_sketch_from_x = From, of the width
screen_sketch_from_y = From, of the height
screen_sketch_to_x = To, of the width
screen_sketch_to_y = To, of the height
screen_journal_photo_marked = Drawn over a photo
help_sketch_what = What of the photo is meant: an arrow, a ring, a word.
help_sketch_why = A hair on a ring is found again in a second. What is drawn is kept beside the photo; the photo itself stays as it was taken.
help_sketch_wrong = A mark covers what lies beneath it: look at the photo without it, too. What is handed on is the photo, without what was drawn.

# Mounting points of the trim
action_one_more = One more
action_one_less = One less
screen_trim_point_free = Nothing hangs here
screen_trim_here_and_left = { $here } here, { $left } left in the box
screen_trim_box_empty = None of this size is left in the box
screen_trim_none_here = None of this size hangs here
shell_trim_points = Mounting points
screen_trim_point_full = No more pieces go on this point
