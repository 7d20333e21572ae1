# Spanish, complete. Not yet read by a practitioner. The keys and variables are those of en.ftl; numbers
# and units arrive joined by a no-break space. The crew is addressed as 'tú', and where nobody acts the
# sentence is impersonal.
#
# Words of the trade, always the same:
#   rig rig (el) · housing carcasa · enclosure recinto · part pieza · mounting point punto de montaje
#   seal junta · o-ring tórica · gland alojamiento · squeeze, stretch, fill compresión, estiramiento, llenado
#   closure cierre · latch pestillo · penetrator pasamuros · vacuum valve válvula de vacío · plug tapón
#   port puerto · dome domo · extension ring anillo de extensión · gear drive mando por engranaje · lens objetivo
#   depth rating profundidad de diseño · planned depth profundidad prevista · dive inmersión
#   hold prueba de vacío · to prove probar · verdict veredicto · tight estanco · leaks, a leak pierde, una fuga
#   not yet todavía no · ready listo · recheck recomprobación · changed ha cambiado · can't tell no se puede saber
#   gauge manómetro · vacuum gauge vacuómetro · desiccant desecante · free volume volumen libre
#   trim trimado · trim weight lastre · float flotador · net force fuerza neta · nose morro · control mando
#   prep preparación · procedure procedimiento · step paso · crew equipo · member miembro · journal diario
#   record (what is kept) registro · to put right subsanar · to set aside apartar · to take back deshacer
#   give or take más o menos

# Actions: what a finger does
action_abandon = Dejar esta prueba
action_add = Añadir
action_add_member = Añadir un miembro del equipo
action_add_reading = Añadir la lectura
action_all_steps = Todos los pasos
action_at_rig = { $rig }: { $label }
action_ask_another = Pedir a otra persona que mire
action_ask_to_look = Pedir a { $name } que mire
action_bring_everything = Traer un archivo de todo
action_change = Cambiar
action_phone_entries = Sus entradas
action_phone_look = Verlo
action_change_lens = Cambiar el objetivo
action_change_plan = Cambiar la inmersión prevista
action_close_defect = Subsanarlo
action_closed = Marcar { $name } como cerrado
action_defect_closed = Anotarlo como subsanado
action_conclude = Terminar la prueba con este veredicto
action_conclude_open = Terminar sin veredicto
action_copy_rig = Copiar este rig
action_crew = Equipo
action_done = Hecho
action_edit_rig = Editar el rig
action_days_all = Mostrarlo todo
action_days_filter = Mostrar solo una parte
action_days_show = Mostrar
action_every_entry = Cada entrada, una por una
action_end_prep_early = Terminar aquí esta preparación
action_end_prep = Terminar la preparación
action_fit_new = Montar una tórica nueva
action_go_on = Seguir: { $title }
action_go_on_hold = Seguir con la prueba de vacío
action_hand_over = Pasar el relevo
action_hold_phone = { $name } tiene el teléfono
action_it_fails = No funciona
action_it_works = Funciona
action_join_crew = Unirse a un equipo: traer su archivo
action_journal = Diario
action_judge_readings = Juzgar con todas sus lecturas
action_judge_again = Juzgarla de nuevo
action_keep = Guardar
action_keep_everything = Guardarlo todo en un archivo
action_log_dive = Anotar una inmersión
action_make_rig = Crear el rig
action_new_rig = Rig nuevo
action_next_step = Paso siguiente
action_next_named = Siguiente: { $name }
action_new_ring_in = Una tórica nueva: { $name }
action_note_defect = Anotar un defecto
action_note_finding = Anotar lo encontrado
action_off_the_rig = Anotarlo como retirado del rig
action_open_enclosure = Abrir { $name }
action_open_named = { $name }
action_open_rig = Ver el rig
action_open_seal = Ver la junta
action_open_step = Ver el paso
action_first = Primero: { $title }
action_looked_inside = Anotar que se miró dentro de { $name }
action_nothing_to_compare = Seguir: no hay con qué comparar
action_close_all_the_same = Cerrarlo de todos modos
action_open_and_look = Abrir { $name } y mirar sus juntas
action_look_outside_and_hold = Mirar manguera, racor y válvula, y repetir la prueba
action_hold_again = Repetir la prueba de vacío
action_plug_out = Anotar el tapón quitado
action_opened = Anotarlo como abierto
action_own_phone = Hacerlo mío: nadie más firma en él
action_plug_on = Anotar el tapón puesto: { $name }
action_plug_off = Anotar el tapón quitado: { $name }
action_inspected = Anotarlo como revisado
action_inspect = Revisarlo
action_gauge_steps = El manómetro muestra pasos de { $steps }
action_gauge_steps_stand = Muestra { $steps }; solo estaba quieto
action_answer_fault = Decir qué fue de ello
action_answer_unread = Decir qué era
action_read = Eso es lo que marca
action_recheck = Recomprobación en cubierta
action_mistyped = Lo escribí mal
action_remove = Quitarlo del rig
action_rename = Nombre y nota
action_reopen = Reabrir este paso
action_wrong_here = Algo no está bien aquí
action_resume = Continuar
action_retire_rig = Retirar este rig
action_say_age = Decir la edad de la tórica
action_say_who = Decir quién tiene el teléfono
action_seal_back = Limpia, engrasada, puesta de nuevo
action_seals = Juntas
action_see_hold = Ver la prueba de vacío
action_see_proof = Ver qué prueba { $name }
action_service_named = Hacer el servicio de { $name }
action_service_seal = Hacer el servicio
action_set_air = Este es el aire ahora
action_set_aside = Apartar
action_skip = Saltar este paso
action_start = Empezar
action_start_build = Montar y probar
action_start_hold = Empezar una prueba de vacío
action_start_named = Empezar: { $title }
action_test_controls = Probar los mandos
action_tick = Confirmar
action_to_rig = Al rig
action_untick = Deshacer
action_use_again = Volver a usarlo
action_valve_closed = Empezar con la válvula cerrada
action_walked_round = Anotar la ronda: todo como debe estar
action_answer = Esa es mi respuesta
action_add_gauge = Añadir un manómetro
action_compare_gauges = Comparar dos manómetros
action_choose_water = Elegir el agua
action_edit_parts = Piezas, puntos y lastres
action_hang = Anotar lo que cuelga ahí
action_hang_all = Anotarlo todo colgado
action_hang_otherwise = Cuelga otra cosa
action_keep_trim = Anotarlo trimado así
action_learn = Aprender de ello
action_list_parts = Listar las piezas
action_saw_in_water = Visto en el agua
action_take_back = Deshacerlo
action_this_water = Esta es el agua
action_trim = Trimado
action_trimmed_by_hand = Anotarlo trimado sin la lista
action_trim_aim = Cuánto debe pesar en el agua
action_weigh = Pesarlo en aire y en agua
action_what_if = Y si…
action_measure_known = Medirlo con una botella rígida
action_measure_strokes = Medirlo por carreras de la bomba
action_estimate_volume = Estimarlo a partir del rig
action_bring_hold = Ver una prueba registrada en un archivo
action_keep_good_rows = Tomar las filas correctas
action_drop_file = Dejar este archivo
action_hand_over_hold = Entregar como archivo
action_box = La caja de tóricas
action_change_shoot = Cambiar el rodaje previsto
action_cleaned = Limpia
action_count_rings = Contarlas
action_counted = Eso es lo que conté
action_edit_seal = Editar la junta
action_find_size = Averiguar la medida
action_gland = Su alojamiento
action_greased = Engrasada
action_keep_plan = Guardar el plan
action_leave_service = Salir del servicio
action_look_again = Volví a mirar: no es así
action_look_again_alone = Volver a mirar, a solas
action_look_and_sign = Mirar y firmar
action_measure_ring = Averiguar la medida midiendo
action_measure_syringe = Medirlo con una jeringa
action_plan_shoot = Planear un rodaje
action_ring_elsewhere = Una tórica nueva, no de la caja
action_ring_out = La tórica está fuera
action_same_ring = La misma tórica está puesta de nuevo
action_same_ring_bad = Se puso la tórica vieja
action_same_ring_note = La misma tórica, con una nota
action_service_steps = Hacer el servicio punto por punto
action_set_size = Su medida es { $size }
action_sign_alone = Volví a mirar: firmo solo con mi palabra
action_sign_as = Soy { $name }, he mirado: firmo
action_spares = Tóricas para un rodaje
action_stock_rings = Meter tóricas en la caja
action_take_ring = Sacar una

# Numbers: the sign before the parts of one, '.' or ',' (Unicode CLDR, numbers of 'es')
number_decimal = ,
# Regions that write the other of the two in this language
number_decimal_other = 419 BR BZ CU DO GT HN MX NI PA PE PR SV US

# Said in many places
common_ago = hace { $time }
common_and = { $first } y { $last }
common_or = { $first } o { $last }
common_clock_ahead = { $time } adelantado
common_clock_back = { $time } atrasado
common_clock_set = el reloj del teléfono se cambió: { $by }
common_clock_set_spans = El reloj del teléfono se cambió por el camino: { $by }. Aquí los tiempos se toman del reloj que corre desde que se encendió el teléfono, que nadie puede cambiar.
common_give_or_take = más o menos { $amount }
common_just_now = ahora mismo
common_language = Español
common_note = Nota
common_photo_damaged = El archivo de esta foto está dañado
common_call_kind = Lecturas pendientes
common_call_text = La prueba de vacío de { $rig } pide su próxima lectura.
common_call_title = Lee el manómetro de { $name }
common_phone_battery = La batería de este teléfono está al { $charge } y no se está cargando. La prueba sigue sin él; sus lecturas y sus avisos, no.
common_phone_full = El almacenamiento de este teléfono está lleno: quedan { $left }. Haz sitio ahora o puede que no se conserve lo próximo que anotes; se te dirá entonces.
common_phone_late = Con Slackwater en segundo plano, este teléfono puede avisar de una lectura con minutos de retraso: no permite alarmas exactas. Se pueden permitir en sus ajustes de alarmas.
common_phone_nearly_full = El almacenamiento de este teléfono está casi lleno: quedan { $left }. Lo que más ocupa son las fotos; haz sitio antes de la próxima.
common_phone_silent = Este teléfono no muestra notificaciones de Slackwater: en segundo plano, nada avisa de la próxima lectura. Se pueden permitir en sus ajustes de notificaciones.
common_photo_kept = Foto guardada
common_photo_missing = Falta el archivo de esta foto en este teléfono
common_photo_no_note = Foto
common_somebody = nadie nombrado
common_span_at_least = { $least } como mínimo
common_span_unsure = El teléfono se reinició entre dos lecturas, o leyó otro teléfono: pasaron { $likely } si su reloj iba bien, { $least } como mínimo. Solo cuenta lo que vale para ambos.
common_time_on_day = { $time } del { $day }
common_undone = Deshecho
common_vacuum_caveat = Una prueba de vacío prueba las juntas a una fracción de atmósfera, y desde el otro lado. No puede probarlas a profundidad.
common_who_when = { $who }, { $when }

# What is wrong, and what to do
error_above_zero = Debe ser mayor que cero
error_own_code = Este código lo muestra este mismo teléfono. Léelo con el otro.
error_code_over = Este código había que leerlo en 15 minutos. Que el otro teléfono muestre uno nuevo. Si se acaba de mostrar, uno de los dos relojes va mal.
error_box_lacks = { $n ->
    [0] En la caja ya no queda ninguna { $size }. Cuéntalas de nuevo.
    [one] En la caja solo queda una { $size }. Cuéntalas de nuevo.
   *[other] En la caja solo quedan { $n } { $size }. Cuéntalas de nuevo.
}
error_absurd = No puede ser: { $why }
error_air_pressure = Entre 500 y 1100 mbar; ¿es correcta la unidad?
error_air_temperature = Entre −40 y 60 °C; ¿es correcta la unidad?
error_backup_read = No se trajo nada: { $why }
error_backup_write = No se guardó: { $why }
error_choice_wanted = Elige una opción
error_code_short = Al menos { $n } caracteres
error_code_wait = { $n ->
    [one] Demasiados intentos fallidos: espera un minuto
   *[other] Demasiados intentos fallidos: espera { $n } minutos
}
error_code_wrong = Ese no es el código
error_controls_open = { $n ->
    [one] Queda un mando por probar
   *[other] Quedan { $n } mandos por probar
}
error_days = Entre 0 y 20000 días
error_enclosure_closed = { $name } consta como cerrado. Ábrelo primero.
error_enclosure_open = { $name } consta como abierto. Ciérralo primero.
error_look_inside = Se encontró agua: abre { $names } y mira dentro primero.
error_gland_kind = Di cómo comprime el alojamiento a la tórica, o deja vacías las dimensiones
error_hold_ended = Esta prueba ha terminado. Empieza una nueva.
error_hold_running = Hay una prueba de vacío en curso en { $name }. Termínala primero.
error_no_slip = Solo quien lo escribió puede llamarlo error, en los cinco minutos siguientes. A un cambio se responde con una prueba nueva.
error_no_valve = { $name } no tiene válvula de vacío, así que no se puede probar
error_nobody_named = Di primero quién tiene el teléfono: esto se firma con nombre
error_phone_too_long = Incorporar lo que escribió este teléfono tarda más de lo que pueden tardar tantas entradas. Se guarda aparte
error_not_a_number = Eso no es un número
error_not_alone = En el equipo hay más de una persona. Marca primero a quien se fue
error_not_faulty = No se sabe de ninguna tórica mala en ella
error_not_proved = { $name } está sin probar: desde que se cerró no cuenta ninguna prueba de vacío
error_not_retractable = Esto no se puede deshacer. Se responde con evidencia nueva.
error_inside_shut = { $name } está dentro, y todas las carcasas constan como cerradas. Si se cambió, abre antes la carcasa en la página del equipo.
error_number_two_separators = Usa un solo signo decimal y nada entre los millares
error_number_wanted = Hace falta un número
error_other_screen = Eso pertenece a otra pantalla; no se hizo nada
error_outside_limits = Fuera de los límites. Mira de nuevo; si es así, salta el paso con el motivo.
error_parts_open = { $n ->
    [one] Queda un punto por confirmar
   *[other] Quedan { $n } puntos por confirmar
}
error_only_screws = Solo los tornillos tienen esto: déjalo vacío o elige tornillos
error_other_phone = { $name } firma en su propio teléfono, cuando este sepa de esto
error_photo_wanted = Este paso pide una foto
error_plug_off = El tapón de { $name } está quitado. Ponlo primero.
error_seal_not_serviced = Falta hacer primero el servicio de { $name }: se movió, o nadie se lo ha hecho todavía
error_prep_ended = Esta preparación ha terminado
error_procedure_line = Línea { $line }: { $why }
error_range = Entre { $low } y { $high }; ¿es correcta la unidad?
error_reading_out_of_order = Anterior a la lectura precedente. ¿Va bien el reloj?
error_reason_wanted = Hace falta un motivo
error_recheck_limit = Entre 5 minutos y 24 horas
error_ring_must_be_replaced = Una tórica hallada así no debe volver a ponerse. Haz el servicio punto por punto: ahí se monta una nueva.
error_same_member = Para eso hace falta otro miembro: pásale el teléfono
error_step_not_done = El paso aún no está hecho
error_steps_first = Primero: { $steps }
error_text_wanted = Aquí debe haber algo escrito
error_open_wanted = Di qué muestra el manómetro con la válvula abierta
error_open_not_its_kind = El manómetro elegido consta como de la otra clase. Elige el que está montado o corrige su ficha.
error_doubt_no_zero = Ni nada ni la presión del aire: ningún manómetro en buen estado muestra eso con la válvula abierta.
error_doubt_zero_off = Está lejos de lo que muestra un manómetro en buen estado con la válvula abierta.
error_doubt_deep = Eso es { $value } por debajo del aire exterior, más de lo que una bomba de mano saca de una carcasa.
error_doubt_no_vacuum = Eso no es vacío.
error_doubt_little = Eso es solo { $value } por debajo del aire exterior.
error_doubt_above = Eso es { $value } por encima del aire exterior, no por debajo.
error_doubt_fell = Eso es { $value } menos de vacío que en la lectura anterior.
error_doubt_grew = Eso es { $value } más de vacío que en la lectura anterior. Una carcasa cerrada no hace vacío por sí sola.
error_doubt_less = Eso es { $value } menos de vacío de lo que debería.
error_doubt_more = Eso es { $value } más de vacío de lo que debería. Una carcasa cerrada no hace vacío por sí sola.
error_doubt_jump = Ahí no estaba este manómetro.
error_doubt_temperature = No es una temperatura habitual en una cubierta o una carcasa.
error_doubt_warmed = Eso difiere { $value } de la lectura anterior.
error_doubt_air = Donde se trabaja, el aire tiene de 500 a 1085 mbar.
error_doubt_air_unusual = El aire solo tiene esa presión en alta montaña, o nunca.
error_doubt_air_moved = Eso difiere { $value } de la lectura anterior del barómetro.
error_doubt_step = Un manómetro con el que se lee una prueba va en pasos de { $fine } a { $coarse } { $unit }. Se pide el menor paso, no lo que muestra ahora; ¿están bien el signo decimal y la unidad?
error_doubt_rating = Antes ponía { $before }. ¿Están bien la unidad y el número de cifras?
error_doubt_limit = Es más de la décima parte de los { $volume } que caben. ¿Está bien la unidad?
error_doubt_volume = Antes ponía { $before }. ¿Está bien el signo decimal?
error_doubt_dive_longer = El plan es { $plan }: lo que se probó, se probó para ese tiempo.
error_doubt_dive_open = Consta como abierto: { $names }. Si entró así, anota también el agua.
error_doubt_dive_plan = El plan es { $plan }: lo que se probó, se probó para eso.
error_doubt_dive_rating = Más hondo que la profundidad de diseño de { $names }: anotado así, queda fuera hasta que alguien lo revise.
error_lens_is_on = Ese objetivo está puesto. Para quitar y volver a poner su puerto, abre el cierre.
error_doubt_dive_plug = El tapón de { $names } no consta como puesto: una inmersión sin él inunda el rig.
error_doubt_dive_unproved = Sin probar: { $names }. No cuenta ninguna prueba de vacío.
error_doubt_deep_dive = Nada en este rig está previsto ni diseñado para más de { $most }.
error_doubt_much = Eso es { $value } por debajo del aire exterior, más vacío del acostumbrado.
error_slip_kind_absolute = Un manómetro absoluto mostraría eso: ¿lo es?
error_slip_kind_below = Un vacuómetro, que no muestra nada con la válvula abierta, mostraría eso: ¿lo es?
error_slip_unit = En { $unit } encajaría: ¿es correcta la unidad?
error_slip_sign = Sin el signo menos encajaría.
error_slip_decimal = ¿Está bien el signo decimal?
error_slip_decimal_or_unit = ¿Están bien el signo decimal y la unidad?
error_slip_another = Es lo último que mostró el manómetro de { $name }: ¿es ese?
error_slip_fahrenheit = En °F encajaría.
error_slip_celsius = En °C encajaría.
error_is_it_so = ¿Es así?
error_too_few_readings = Hacen falta dos lecturas para terminar una prueba
error_too_soon = { $n ->
    [one] Vuelve a mirar dentro de un minuto
   *[other] Vuelve a mirar dentro de { $n } minutos
}
error_whole_number = Hace falta un número entero
error_same_gauge = Elige dos manómetros distintos
error_file_too_large = Ese archivo es demasiado grande para una prueba registrada (8 MB como máximo)
error_inside_as_last_and_not = Di que todo está como la última vez, o cada cosa más abajo: parte de ambos contaría solo a medias
error_fresh_photo = Haz primero una foto nueva de cómo está ahora
error_handed_in_empty = { $name } está vacío
error_handed_in_hold = { $name } es una prueba de vacío registrada. Abre «Empezar una prueba de vacío» en el recinto al que pertenece y entrégala de nuevo.
error_handed_in_large = { $name } es demasiado grande para un procedimiento (256 KiB como máximo)
error_handed_in_unknown = { $name } no es nada que Slackwater conozca. Acepta un archivo de todo, un procedimiento y una prueba de vacío registrada.
error_handed_in_unread = No se puede leer { $name } ({ $why })
error_file_no_text = Ese archivo no es texto
error_humidity = Entre 0 y 100 %
error_thermometer_error = Entre 0,001 y 20 K; ¿es correcta la unidad?
error_barometer_error = Entre 0,001 y 50 mbar; ¿es correcta la unidad?
error_phone_barometer = El barómetro de este teléfono no responde. Escribe la presión, o déjala.
error_no_file_waits = Ya no hay ningún archivo en espera. Elígelo de nuevo.
error_hang_count = Un número entero de 0 a 60
error_heavier_in_water = { $name } marca { $water } en el agua y { $air } en el aire. En el agua debe ser menos: ¿están cambiados, o cuelga también el lastre auxiliar?
error_impossible_lesson = Lo que se vio exigiría que { $name } pesara o desplazara menos que nada. Revisa lo que colgaba y las cifras de las piezas.
error_level_amount = Deja esto vacío si se quedó como estaba
error_no_attitude = Según estas cifras, los centros de masa y de empuje coinciden, así que cómo colgaba no dice nada. Da a las piezas sus posiciones.
error_no_code = { $name } aún no tiene código: toma el teléfono como { $name } y ponlo en la página del equipo
error_nothing_seen = Di qué se vio
error_nothing_to_sign = No hay nada que firmar
error_nothing_uncertain = Todas las piezas constan como conocidas con exactitud, así que no se puede aprender nada. Di con qué precisión se conoce la pieza dudosa.
error_salinity = Entre 0 y 42
error_seen_amount = No menor que cero, ni mayor de lo posible
error_water_depth = Entre 0 y { $most }
error_water_temperature = Entre { $low } y { $high } con esta salinidad
error_bulk = Entre 0,1 y 1000000 MPa
error_percent = Entre 0 y 100 %
error_bounds = es posible de { $low } a { $high }
error_possible = Posible: de { $low } a { $high }
error_name_wanted = Hace falta un nombre
error_too_long = Como máximo { $n } caracteres
error_names_nobody = Esto no nombra a nadie: quien firma es alguien
error_name_taken = { $what } ya está en el equipo: un nombre, una persona
error_screws_wanted = Un cierre con tornillos necesita su número
error_warns_after_blocking = El límite que avisa no debe ser mayor que el que bloquea
error_size_twice = Este tamaño ya está en la caja
error_cured_ahead = { $what } está en el futuro
error_cured_after_use = La tórica está en uso desde el { $what }, antes de esa fecha
error_used_ahead = La tórica no puede estar en uso desde un día futuro
error_used_too_long = Ninguna tórica lleva tanto tiempo en uso
error_day = Un día se escribe como año, mes, día: 2026-06-03
error_coarser_only = Solo son posibles pasos mayores de los que se dijo
error_which_way = Di en qué sentido
error_volume_far_off = Sale { $found }, y ahí ponía { $before }. ¿Son correctos la forma de medir (una jeringa cede su volumen, una botella lo conserva), la unidad, el recinto? Si es correcto, dilo aquí.
error_put_back_in_use = Desde entonces se añadió { $name } en su lugar: quita antes ese.
error_not_here = No está aquí, o ya no está: { $id }
error_figure_no_number = Una cifra no es un número; no se anotó nada
error_no_enclosure = No hay ningún recinto «{ $what }»
error_no_lens = No hay ningún objetivo «{ $what }»
error_no_part = No hay ninguna pieza «{ $what }»
error_no_closure = { $name } no tiene ningún cierre «{ $what }»
error_stand_in_for_stand_in = Solo puede ir en lugar de una pieza que no vaya ella misma en lugar de otra
error_no_stand_in = «{ $what }» no es una pieza que vaya en lugar de otra
error_points_most = Como máximo son posibles { $n } puntos de montaje
error_sizes_most = Como máximo son posibles { $n } tamaños
error_room_most = { $here } lastres en todos los puntos de montaje; son posibles { $most }
error_lens_closure = El cierre que se abre para cambiarlo no está en el rig
error_no_id = Un identificador tiene de 1 a 64 letras minúsculas, cifras o guiones
error_id_twice = El identificador está repetido
error_no_squeeze = El alojamiento tiene { $depth } de profundidad y la sección de la tórica es de { $section }: nada la comprimiría
error_box_holds = La caja tiene { $n }, de los que { $elsewhere } cuelgan en otro sitio
error_point_takes = { $name } admite { $n } en total; ya cuelgan { $others } de otro tamaño
error_not_on_rig = { $what } no está en el rig
# Errors: a file that was handed in
error_log_not_one = Línea 1: hace falta «# hold-log: 1»
error_log_version = Línea 1: la versión { $version } de hold-log no se conoce; la 1 sí
error_log_key_missing = Falta la clave «{ $key }»
error_log_key_twice = Línea { $line }: la clave «{ $key }» está repetida
error_log_value = Línea { $line }: «{ $key }» vale «{ $value }»: { $why }
error_log_between = se admite de { $low } a { $high }
error_log_up_to_the_volume = se admite desde 0 hasta el volumen
error_log_above_zero = hace falta más de { $zero }
error_log_words = se admite { $words }
error_log_words_recheck = en una recomprobación se admite { $words }
error_log_too_much = Línea { $line }: { $what }; una prueba de vacío registrada tiene como máximo { $most }
error_log_file_bytes = el archivo pasa de 8 MiB (en bytes)
error_log_line_bytes = la línea es demasiado larga (en bytes)
error_log_keys = demasiadas claves
error_log_columns = demasiadas columnas
error_log_rows_many = demasiadas filas
error_log_rechecks = demasiadas recomprobaciones
error_log_wrong_rows = demasiadas filas erróneas
error_log_no_header = Línea { $line }: hace falta una fila de encabezado con time_s y gauge
error_log_rows = { $n ->
    [one] 1 fila errónea: { $rows }
   *[other] { $n } filas erróneas: { $rows }
}
error_log_rows_more = y { $n } más
error_row_cells = { $here ->
    [one] 1 celda donde el encabezado tiene { $wanted }
   *[other] { $here } celdas donde el encabezado tiene { $wanted }
}
error_row_empty = falta { $column }
error_row_no_number = { $column } «{ $cell }» no es un número
error_row_outside = { $column } { $cell } queda fuera de { $low } a { $high }
error_row_earlier = time_s { $time } es anterior a { $before } de la línea { $line }
error_slip_toml = esto no es TOML ({ $said })
error_slip_file_long = ocupa { $kib } KiB; un procedimiento tiene como máximo { $most } KiB
error_slip_utf16 = es texto UTF-16; guárdalo como UTF-8
error_slip_not_utf8 = el byte { $byte } no es texto UTF-8; guarda el archivo como UTF-8
error_slip_missing = falta
error_slip_format_missing = falta; esta descripción es format = { $known }
error_slip_format_below_one = tiene que ser 1 o más
error_slip_format_newer = el formato { $found } es más nuevo que este programa, que lee hasta el { $known }; actualiza el programa
error_slip_form = tiene que ser { $wanted }, pero hay { $is }
error_form_text = un texto entre comillas
error_form_word = una palabra entre comillas
error_form_whole = un número entero
error_form_number = un número
error_form_flag = true o false
error_form_date = una fecha
error_form_list = una lista entre corchetes
error_form_texts = una lista de textos entre corchetes
error_form_steps = una lista de tablas, cada una empezada por [[step]]
error_form_step = una tabla empezada por [[step]]
error_form_measure = una tabla [step.measure]
error_form_table = una tabla
error_slip_no_steps = el procedimiento no tiene pasos; empieza cada uno con [[step]]
error_slip_steps = { $n } pasos; un procedimiento tiene como máximo { $most }
error_slip_points = { $n } puntos; un paso tiene como máximo { $most }
error_slip_never_applies = un paso de tipo «{ $kind }» nunca se da donde se cumple «{ $only }»
error_slip_points_wanted = un paso de junta necesita points: las partes del servicio que se confirman una por una
error_slip_each = un paso de tipo «{ $kind }» se hace por cada { $allowed }, no por cada «{ $each }»
error_slip_word = «{ $word }» no se conoce; puede ser { $known }
error_slip_key = la clave no se conoce; existen { $known }
error_slip_twice = «{ $word }» está repetido
error_slip_never_both = «{ $one }» y «{ $other }» nunca se cumplen a la vez, así que el paso no se mostraría nunca
error_slip_only_of_seals = «{ $word }» es una condición de las juntas; el paso necesita each = "seal"
error_slip_measure_wanted = un paso de medida necesita [step.measure] con quantity y unit
error_slip_measure_not_here = solo puede tenerlo un paso de tipo «measure»
error_slip_no_unit = «{ $unit }» no es una unidad de { $quantity }; puede ser { $units }
error_slip_min_above_max = min { $min } es mayor que max { $max }
error_slip_not_finite = tiene que ser un número finito
error_slip_same_id = el paso de la línea { $line } tiene el mismo id
error_slip_no_step = no hay ningún paso «{ $id }»
error_slip_waits_for_itself = el paso se espera a sí mismo
error_slip_waits = «{ $step }» espera a «{ $before }»
error_slip_circle = los pasos se esperan unos a otros en círculo: { $chain }
error_slip_lone_brace = hay una llave suelta; las llaves son para { $known }
error_slip_target_alone = { $braces } necesita que each sea «enclosure», «closure» o «seal»
error_slip_enclosure_alone = { $braces } necesita que each sea «closure» o «seal»
error_slip_screws_alone = { $braces } es para pasos de tipo «fasteners»
error_slip_unknown_braces = { $braces } no se conoce; existen { $known }
error_slip_empty = está vacío
error_slip_too_long = tiene { $n } caracteres; caben como máximo { $most }
error_slip_control = contiene un carácter de control
error_slip_slug = «{ $text }» tiene que ser letras minúsculas de la a a la z, cifras y guiones sueltos, y empezar por una letra
# Errors: photos, the file of everything, the record's own file. What a system or a reader says itself is
# in brackets.
error_doing_reading = leer
error_doing_writing = escribir
error_doing_making = crear
error_doing_making_folder = crear la carpeta
error_doing_moving_photo = mover una foto a
error_doing_naming = dar su nombre a
error_doing_syncing_folder = asegurar en el disco la carpeta
error_disk_full = no queda espacio para { $doing } { $path }
error_disk_not_allowed = no se permite { $doing } { $path } ({ $said })
error_disk_failed = no se pudo { $doing } { $path } ({ $said })
error_photo_empty = la foto está vacía: tiene 0 bytes
error_photo_too_large = la foto es demasiado grande: { $size }, y el límite es { $limit }
error_photo_kind = no es una foto: empieza por { $start }, que no es JPEG, PNG ni HEIF
error_photo_name = «{ $text }» no es el hash de una foto: se esperan 64 cifras hexadecimales
error_photo_no_file = { $path } no es un archivo
error_photo_missing = la foto no está en este teléfono
error_photo_damaged = la foto está dañada: sus bytes ya no son los que se guardaron
error_photo_unread = la foto no se puede leer ({ $said })
error_photo_no_thumbnail = de un archivo { $kind } no se puede hacer una miniatura
error_photo_pixels = la foto tiene { $w } × { $h } píxeles: más de los { $limit } que se descodifican
error_photo_undecodable = la foto no se puede descodificar ({ $said })
error_photo_keeps_place = de un archivo { $kind } no se puede quitar la ubicación
error_photo_tells_place = la ubicación no se puede quitar: los propios datos de la imagen todavía parecen indicar un lugar
error_photo_build = la ubicación no se puede quitar: desde el byte { $at } el archivo no está hecho como exige su tipo
error_backup_no_zip = esto no es un archivo de todo ({ $said })
error_backup_no_about = esto no es un archivo de todo: no dice qué es
error_backup_called = esto no es un archivo de todo: su formato se llama «{ $name }»
error_backup_newer = este archivo lo escribió una versión más nueva: tiene el formato { $found }, y aquí se conoce el { $known }
error_backup_part = { $part }: { $why }
error_backup_line = events.jsonl, línea { $line }: { $why }
error_backup_unread = no se puede leer ({ $said })
error_backup_other_photo = su contenido no es el de su nombre
error_backup_too_much = es más de lo que admite un teléfono: { $what }
error_too_much_parts = tiene más de { $n } partes
error_too_much_photos = sus fotos desempaquetadas pasan de los { $mib } MiB que puede contener un archivo de su tamaño
error_too_much_events = sus entradas desempaquetadas pasan de lo que puede contener un archivo de su tamaño
error_too_much_time = incorporarlo tarda más de lo que pueden tardar tantas entradas
error_line_hex = { $field } no son { $digits } cifras hexadecimales
error_line_body_hex = body_hex no es hexadecimal
error_line_body = no tiene exactamente uno de body y body_hex
error_line_number = su número está fuera de lo posible
error_line_heard = heard: «{ $text }» no es ninguna entrada
error_line_too_long = la línea es demasiado larga
error_line_ends_early = el archivo termina tras { $here } de { $wanted } entradas
error_given_up = se abandonó
error_entry_content = entrada { $entry }: su contenido no es lo que se firmó
error_entry_signature = entrada { $entry }: su firma no es la del teléfono
error_entry_devices = entrada { $entry }: nombra más teléfonos de los que tiene ningún equipo
error_entry_gap = entrada { $entry }: faltan las entradas de ese teléfono desde la { $from }
error_journal_busy = otro programa tiene abierto { $path }
error_journal_newer = { $path } lo escribió una versión más nueva (versión de archivo { $found }; este programa conoce la { $known })
error_journal_not_writable = { $path } no se puede escribir ({ $said })
error_journal_replaced = { $path } no se puede escribir: alguien se lo llevó o lo cambió por otro mientras estaba abierto
error_journal_full = el almacenamiento está lleno; no se anotó nada
error_journal_damaged = { $path } está dañado ({ $why })
error_journal_failed = ahora no se puede usar el registro ({ $said })
error_damage_empty = el archivo está vacío
error_damage_no_database = { $n } bytes no son una base de datos
error_damage_cut = de { $wanted } bytes solo hay { $here }
error_damage_no_key = { $n } bytes que no son una clave
# Errors: o-rings
error_ring_unknown_size = AS568 no tiene ningún tamaño «{ $given }» entre los { $n } que se conocen aquí (001 a 475; los 9xx, para racores, no están)
error_ring_no_size = «{ $given }» no es un tamaño; escríbelo como AS568-258 o como 151,99 x 3,53 mm
error_ring_ambiguous = «{ $given }» puede ser AS568-{ $dash } o un diámetro interior en mm; escribe AS568-{ $dash }, o interior x sección en mm
error_ring_cure_date = «{ $given }» no es una fecha de curado; escríbela como 2Q25 o como 2025-05
error_ring_range = { $what }: { $value }; { $bounds }
error_ring_groove = La ranura tiene { $width } de anchura, menos que la sección de la tórica, de { $section }
error_ring_material = Ningún material «{ $given }» entre { $known }
error_ring_date = Contar { $years } años desde { $from } se sale del calendario
error_length_inside = diámetro interior
error_length_inside_sd = incertidumbre del diámetro interior
error_length_section = sección
error_length_section_sd = incertidumbre de la sección
error_length_seat = diámetro donde asienta la tórica
error_length_depth = profundidad del alojamiento
error_length_width = anchura de la ranura
# Errors: trim
error_trim_range = { $what }: { $value }; { $bounds }
error_trim_of_rig = todo el rig
error_trim_of_water = el agua
error_trim_of_scale = la báscula
error_trim_count = { $what } (número { $index }): { $value }; es posible de { $low } a { $high }
error_trim_correlation = la masa y el volumen de { $of } no pueden tener una correlación de { $value }
error_trim_covariance = lo que se sabe de las piezas en conjunto no corresponde a las piezas
error_trim_hanging_shape = lo que cuelga ahora no corresponde a los puntos de montaje ni a los tamaños de la caja
error_quantity_mass = masa
error_quantity_mass_sd = incertidumbre de la masa
error_quantity_volume = volumen
error_quantity_volume_sd = incertidumbre del volumen
error_quantity_centre_mass = centro de masa
error_quantity_centre_volume = centro de volumen
error_quantity_centre_sd = incertidumbre del centro
error_quantity_bulk = módulo de compresibilidad
error_quantity_gas = proporción de gas
error_quantity_in_air = peso en el aire
error_quantity_in_water = peso en el agua
error_quantity_sinker = peso del lastre auxiliar en el agua
error_quantity_reading_sd = incertidumbre de la lectura
error_quantity_density = densidad
error_quantity_density_sd = incertidumbre de la densidad
error_quantity_water_density = densidad del agua
error_quantity_water_density_sd = incertidumbre de la densidad del agua
error_quantity_air_density = densidad del aire
error_quantity_sea_pressure = presión del agua
error_quantity_net = fuerza neta
error_quantity_pitch = inclinación del morro
error_quantity_roll = inclinación lateral
error_quantity_seen_sd = incertidumbre de lo visto
error_quantity_position = posición
error_quantity_load = carga máxima
error_quantity_target = fuerza neta buscada
error_quantity_net_tolerance = tolerancia de la fuerza neta
error_quantity_level_tolerance = tolerancia del nivel
error_quantity_acceptable_net = fuerza neta aceptable
error_quantity_acceptable_angle = ángulo aceptable
error_count_pitch_moment = momento de inclinación del morro
error_count_roll_moment = momento de inclinación lateral
error_count_force = fuerza del lastre
error_count_mass = masa del lastre
error_count_stock = existencias del lastre
error_count_x = x del punto de montaje
error_count_y = y del punto de montaje
error_count_capacity = capacidad del punto de montaje
error_count_load = carga máxima del punto de montaje
error_count_capacity_all = capacidad de todos los puntos de montaje
error_count_hanging = piezas colgadas
error_count_hanging_all = piezas colgadas en el rig
# Errors: holds
error_why_above_zero = hace falta más de 0
error_why_not_below_zero = hace falta 0 o más
error_why_no_number = hace falta un número
error_why_no_time = hacen falta segundos desde que se cerró la válvula
error_why_contents = lo que hay dentro es mayor que el recinto
error_why_too_near = las lecturas están demasiado cerca una de otra: más vacío, o más aire de una vez
error_why_air_took = el aire tiene que haber quitado parte del vacío, y no todo
error_why_not_between = tiene que estar entre las dos presiones de antes
error_why_not_lowered = las carreras de la bomba tienen que haberla bajado
error_why_no_pair = hace falta al menos un par de lecturas
error_why_nothing_to_compare = no hay con qué comparar
error_why_not_later = el segundo tiene que ser posterior
error_why_other_kind = un vacuómetro no marca nada entonces, y un manómetro absoluto marca la presión del aire
error_why_too_deep = ninguna bomba deja una carcasa tan vacía, y ningún vacío está por encima del aire de fuera; ¿son correctos el tipo de manómetro, su unidad y el signo?

# Roles
role_assistant = Ayudante
role_dp = Dirección de fotografía
role_other = Otro

# Rigs
screen_crew_said_brought = Traído: { $new } nuevas de { $events ->
    [one] 1 entrada
   *[other] { $events } entradas
}{ $photos ->
    [0] {""}
    [one] , con 1 foto
   *[other] , con { $photos } fotos
}.
screen_crew_said_kept = En el archivo: { $events ->
    [one] 1 entrada
   *[other] { $events } entradas
} y { $photos ->
    [one] 1 foto
   *[other] { $photos } fotos
}, { $size }.
screen_crew_said_photos_missing = { $n ->
    [one] 1 foto falta en este teléfono y no va incluida.
   *[other] { $n } fotos faltan en este teléfono y no van incluidas.
}
screen_crew_same = La misma persona que
screen_crew_same_hint = Desde entonces sus dos nombres no pueden firmar el uno por el otro. No se puede deshacer
screen_crew_same_none = Nadie más
screen_crew_signing = Segunda firma
screen_crew_signing_alone = Somos una sola persona: vuelvo a mirar { $n } minutos después, con una foto
screen_crew_signing_code = Otro miembro, con su propio código
screen_crew_signing_hint = Donde en adelante se pide más, lo firmado con menos ya no cuenta. Lo que firmaron dos sigue valiendo cuando el equipo queda en una persona; lo que una firmó sola cuenta solo mientras es una, y se dice junto a cada «Listo»
screen_crew_signing_name = Otro miembro, con su nombre
screen_crew_signing_phone = Otro miembro, en su propio teléfono
screen_crew_signing_q = Quién firma, y con qué
screen_rigs_clock_behind = El reloj de este teléfono va { $time } por detrás de la entrada más nueva. Ponlo en hora: las recomprobaciones se juzgan por el más tardío de los dos.
screen_rigs_empty = Aquí estarán tus rigs, cada uno con si puede entrar en el agua
screen_rigs_holder = { $name } tiene el teléfono
screen_rigs_new_name = Nombre del rig
screen_rigs_new_template = Partir de
screen_rigs_new_title = Rig nuevo
screen_rigs_key_set_aside = La clave de firma de este teléfono estaba dañada y se apartó como { $file }. Desde ahora firma como dispositivo nuevo; el registro queda como está.
screen_rigs_key_alone = La clave de firma de este teléfono estaba aquí y su registro no: lo que este teléfono anotó antes no está aquí. Los rigs que traiga el archivo de otro teléfono lo dicen hasta que alguien responda por ellos. Si lo guardaste todo en un archivo, o lo tiene otro teléfono, tráelo
screen_rigs_lost = { $n ->
    [one] La última entrada que este teléfono había confirmado falta en su registro: el archivo se dañó. Cada rig lo dice hasta que alguien responda por él. Si otro teléfono tiene la entrada, trae su archivo
   *[other] Las últimas { $n } entradas que este teléfono había confirmado faltan en su registro: el archivo se dañó. Cada rig lo dice hasta que alguien responda por él. Si otro teléfono las tiene, trae su archivo
}
screen_rigs_other_key = La clave de firma de este teléfono no es la que usó antes. Desde ahora firma como dispositivo nuevo; el registro queda como está.
screen_rigs_nobody = No se ha dicho quién tiene el teléfono
screen_rigs_without_secret = El almacén de claves del teléfono no da el secreto que guardaba para firmar ({ $why }). Ahora el teléfono firma como dispositivo nuevo; el registro queda como está.
screen_rigs_set_aside = El registro de este teléfono estaba dañado ({ $why }). Se apartó entero como { $file } y se empezó uno nuevo. No se borró nada.
screen_rigs_title = Rigs

# One rig
screen_rig_close = Cerrar { $name }
screen_rig_close_confirm = Sin servicio: { $seals }. Habría que abrirlo otra vez. ¿Cerrado de todos modos?
screen_rig_closed_by = Cerrado por { $who }, { $when }
screen_rig_closed_unproved = Cerrado, sin probar
screen_rig_control_failed = { $name } no funciona
screen_rig_control_fails = No funcionó, { $when }
screen_rig_control_mend = Abre su carcasa, subsánalo y pruébalo otra vez cuando esté cerrada
screen_rig_control_slip = No se abrió nada desde que no funcionó: ¿fue un error al tocar? Entonces se anota que funciona.
screen_rig_control_try = Pruébalo ahora que la carcasa está cerrada
screen_rig_control_untested = Probar { $name }
screen_rig_control_works = Funciona, { $when }
screen_rig_controls_work = Todos los mandos se probaron y funcionan
screen_rig_controls_left = { $n ->
    [one] 1 mando por probar
   *[other] { $n } mandos por probar
}
screen_rig_controls_fail = { $n ->
    [one] 1 mando no funciona
   *[other] { $n } mandos no funcionan
}
screen_rig_controls_untested = Probar { $n } mandos de { $name }
screen_rig_copy_hint = La copia se tiene que probar por su cuenta
screen_rig_copy_title = Copiar este rig
screen_rig_deeper = El plan es { $plan }; su fabricante lo diseña para { $rating }
screen_rig_too_deep_plan = { $name } está previsto más hondo que su profundidad de diseño
screen_rig_was_deeper = Estuvo a { $depth }; por su profundidad de diseño, de entonces o de ahora, { $rating } es el máximo
screen_rig_inspect = Revisar { $name }: estuvo más hondo que su profundidad de diseño
screen_rig_inspect_note = Qué miraste y qué viste
screen_rig_inspect_hint = Ventanas, puerto, paredes, uniones, cierres, tóricas. Su fabricante puede pedir que se le envíe.
screen_rig_loss = Un segundo miembro firma una edición: { $what }
screen_rig_loss_alone = Vuelve a mirar y firma una edición: { $what }
screen_rig_gone = { $name } se quitó del rig con un fallo
screen_rig_gone_note = Qué fue del fallo, y qué hay ahora en su lugar
screen_rig_gone_hint = Respondes por ello con tu nombre.
screen_rig_gone_record = Lo que este teléfono anotó antes no está aquí
screen_rig_gone_record_why = Su clave estaba aquí sin registro, y se empezó uno nuevo. Lo que había anotado podía ser sobre este rig: una apertura, una fuga, un tapón que se quitó
screen_rig_lost = Faltan entradas que este teléfono había confirmado
screen_rig_lost_why = El registro se dañó al final. Lo que falta puede ser sobre este rig: una apertura, una fuga, un tapón que se quitó
screen_rig_lost_note = Qué se le hizo al rig desde la última entrada de su diario, y qué se repitió
screen_rig_lost_hint = Compara el rig con su diario; repite lo que no sea seguro. Respondes por ello con tu nombre.
screen_rig_not_here = { $n ->
    [one] Una entrada de otro teléfono no cuenta aquí
   *[other] { $n } entradas de otro teléfono no cuentan aquí
}
screen_rig_not_here_why = Alguien del equipo sabía de ello. Falta aquí, o de su teléfono se dijo que ya no es vuestro. Puede ser sobre este rig: una apertura, una fuga, un tapón que se quitó. Trae un archivo de ese teléfono, o consúltalo allí
screen_rig_not_here_note = Qué dice el otro teléfono del rig desde la última entrada de aquí
screen_rig_not_here_hint = Consúltalo en el teléfono que lo tiene; repite lo que no sea seguro. Respondes por ello con tu nombre.
action_answer_not_here = Responder por lo que no está aquí
screen_rig_said_lost = Respondido
action_answer_lost = Responder por lo que falta
screen_rig_edited_apart = Este rig se editó en dos teléfonos, cada uno sin la edición del otro
screen_rig_edited_unknowing = Este rig se editó en un teléfono que no sabía lo que se le había hecho
screen_rig_edited_unknowing_why = Allí aún se estaba configurando, así que nadie firmó lo que la edición quitó o aflojó: carcasas, tóricas, mandos, límites, un objetivo
action_keep_edit = Conservar la edición
screen_rig_edited_apart_plan = el plan
screen_rig_edited_apart_words = nombres y notas
screen_rig_edited_apart_why = { $who }. Difieren en { $what }. Se muestra lo de ambas, y donde difieren lo más estricto: la menor profundidad de diseño y los límites menores, el volumen mayor, la inmersión más honda
screen_rig_edited_apart_confirm = Revisa primero en «Editar el rig» los recintos, tóricas, mandos y el plan. ¿Conservarlos como se muestran?
screen_rig_said_edits_kept = Ambas ediciones conservadas
action_keep_edits = Conservar ambas ediciones
screen_rig_unread = { $n ->
    [one] Algo anotado sobre este rig no se puede contar aquí
   *[other] { $n } cosas anotadas sobre este rig no se pueden contar aquí
}
screen_rig_unread_why = Lo escribió una versión más nueva: actualiza esta aplicación. O un teléfono y una copia suya siguieron escribiendo cada uno: consúltalo allí
screen_rig_unread_note = Qué dicen en el teléfono que las escribió, y qué se hizo al respecto
screen_rig_unread_hint = Escritas como: { $kinds }. Respondes por ello con tu nombre.
screen_rig_unread_crew = { $n ->
    [one] Una versión más nueva anotó algo sobre el equipo que aquí no se puede leer: actualiza esta aplicación
   *[other] Una versión más nueva anotó { $n } cosas sobre el equipo que aquí no se pueden leer: actualiza esta aplicación
}
screen_rig_prep_cut = { $name }: { $n } de { $of } pasos no se hicieron
screen_rig_age_unsure = { $name } se recomprobó antes de reiniciar este teléfono, o en otro teléfono: su antigüedad depende de relojes que se pueden cambiar
screen_recheck_place = { $title }, { $n } de { $of }
screen_recheck_should = { $name } debería marcar
screen_recheck_age_unsure = Leído antes de reiniciar este teléfono, o en otro teléfono: no se sabe con certeza cuánto hace
screen_rig_took_away = { $what } ({ $who }, { $when })
screen_loss_removed = { $name } quitado del rig
screen_loss_unassigned = { $name } ya no se usa
screen_loss_leak = límite de fuga de { $name } subido de { $from } a { $to } por inmersión
screen_loss_rating = profundidad de diseño de { $name } subida de { $from } a { $to }
screen_loss_days = días que { $name } puede estar puesta: de { $from } a { $to }
screen_loss_openings = aperturas que { $name } puede pasar: de { $from } a { $to }
screen_loss_dives = inmersiones que { $name } puede pasar: de { $from } a { $to }
screen_loss_recheck = una recomprobación vale { $to } en vez de { $from }
screen_loss_none = sin límite
screen_loss_not_said = no se dice qué quitó
screen_loss_volume = volumen libre de { $name } de { $from } a { $to }, de modo que la misma caída es una fuga menor
screen_loss_volume_error = del volumen libre de { $name } se dice que se conoce con un margen de { $to } en vez de { $from }
screen_loss_plug = del manómetro de { $name } se dice que se lee con el tapón puesto
screen_loss_elsewhere = { $name } cambiado de lugar: abrir donde estaba ya no pide mirarlo
screen_loss_ring_age = de la tórica de { $name } se dice que lleva puesta { $to } días en vez de { $from }
screen_loss_ring_unsaid = se retiró el día desde el que está puesta la tórica de { $name }
screen_loss_ring_cured = se cambió la fecha de curado de la tórica de { $name }
screen_loss_other_lens = Elegido otro objetivo: { $name }
screen_loss_stored = de { $name } se dice que es de un material que puede guardarse más tiempo del que se guardó
screen_loss_added = { $name } puesto en la lista después de cerrar y probar su carcasa
screen_figure_comes = { $name } se añade
screen_figure_days = días que { $name } puede estar puesta
screen_figure_depth = profundidad prevista
screen_figure_dives = inmersiones que { $name } puede pasar
screen_figure_from_to = { $what } de { $from } a { $to }
screen_figure_goes = { $name } se quita
screen_figure_limit = límite de fuga de { $name } por inmersión
screen_figure_minutes = tiempo previsto
screen_figure_openings = aperturas que { $name } puede pasar
screen_figure_rating = profundidad de diseño de { $name }
screen_figure_salinity = salinidad prevista
screen_figure_volume = volumen libre de { $name }
screen_figure_water = temperatura del agua prevista
screen_loss_other_ring = otra tórica en la lista para { $name }, después de cerrar y probar su carcasa
screen_rig_look_inside_open = Se encontró agua: { $name } está abierto. Mira dentro y luego escribe qué se hizo
screen_rig_look_inside_flood = Se encontró agua: deja { $names } sin abrir y sigue { $title }
screen_rig_look_inside = Se encontró agua: abre { $names } y mira dentro primero, luego escribe qué se hizo
screen_rig_defect = Defecto: { $name }
screen_rig_defect_at = Dónde
screen_rig_defect_at_rig = El rig entero
screen_rig_defect_blocks = Bloquea el rig hasta que se subsane
screen_rig_defect_blocks_q = Deja el rig fuera del agua
screen_rig_defect_how = Qué se hizo al respecto
screen_rig_defect_text = Qué está mal
screen_rig_defect_title = Anotar un defecto
screen_rig_defect_water = Se encontró agua
screen_rig_dive_depth = Máxima profundidad
screen_rig_dive_minutes = Tiempo bajo el agua
screen_rig_dive_up = ¿Dónde está ahora?
screen_rig_dive_is_up = Arriba, en cubierta
screen_rig_dive_goes_in = Entra ahora
screen_rig_dive_up_hint = El gas de dentro sigue un rato tan frío como el agua: la próxima recomprobación lo tiene en cuenta.
screen_rig_dive_salt = En agua salada
screen_rig_dive_title = Anotar una inmersión
screen_rig_hold = Prueba de vacío de { $name }
screen_rig_hold_abandoned = La última prueba se dejó
screen_rig_hold_after_closing = Viene después de cerrar
screen_rig_hold_leaking = La última prueba dio fuga
screen_rig_hold_none = Sin prueba de vacío desde que se cerró
screen_rig_hold_not_yet = La última prueba terminó sin veredicto
screen_rig_leaked_before = { $name }: la prueba anterior a esta halló una fuga, y desde entonces no se abrió nada. Si no era la manguera o la válvula, sigue ahí.
screen_rig_leaks_within = { $name } tiene una fuga de { $least } por inmersión o más. Está dentro del límite de { $limit }, pero toda fuga tiene una causa: búscala.
screen_rig_dived_open = Entró en el agua constando como abierto, o sin su tapón: mira dentro
screen_rig_called_slip = { $name }: un número leído en la recomprobación se dio por mal escrito. Ve su recomprobación.
screen_rig_unlikely = { $name }: un número en que se apoya su prueba parecía improbable y se confirmó. Ve su prueba de vacío.
screen_rig_hold_more_readings = Han llegado lecturas que su veredicto no abarca
screen_rig_hold_other_plan = El plan o el límite piden más de aquello para lo que se juzgó
screen_rig_hold_other_plan_named = Desde que se juzgó: { $what }
screen_rig_hold_running = Hay una prueba de vacío en curso
screen_rig_is_open = Abierto desde { $when }
screen_rig_kind_after_dive = Tras la última inmersión del día
screen_rig_kind_build = De piezas secas a un rig probado
screen_rig_kind_flood = Agua dentro, o una fuga bajo el agua
screen_rig_kind_turnaround = Entre dos inmersiones
screen_rig_lens = Objetivo
screen_rig_lens_hint = Cambiarlo abre el puerto
screen_rig_lens_title = Cambiar el objetivo
screen_rig_never_closed = Nunca anotado como cerrado
screen_rig_no_enclosures = Aquí no hay nada estanco
screen_rig_no_enclosures_why = Añade las carcasas: todavía no hay nada que probar
screen_rig_no_prep = No se hizo ninguna preparación
screen_rig_no_prep_why = Dos personas firman el tapón y la ronda en una preparación
screen_rig_no_prep_why_alone = El tapón y la ronda se miran dos veces en una preparación
screen_rig_no_seals = No hay juntas en la lista de { $name }
screen_rig_no_seals_why = Pon sus tóricas en la lista, o nadie las mirará
screen_rig_no_valve = { $name } no se puede probar
screen_rig_no_valve_why = No consta que tenga válvula de vacío
screen_rig_not_ready = { $n ->
    [one] No está listo: { $n } cosa
   *[other] No está listo: { $n } cosas
}
screen_rig_one_word = Con la palabra de una persona: la segunda mirada fue de la misma, más tarde
screen_rig_crew_of_one = Con la palabra de una persona: el equipo es ahora una sola. Quien dio la segunda mirada lo ha dejado.
screen_rig_open_confirm = Abrir { $name } anula su prueba de vacío, recomprobación, tapón y pruebas de mandos. Bajo vacío, deja entrar aire antes por la válvula. ¿Abrirlo?
screen_rig_open_confirm_bare = Con vacío, deja entrar aire por la válvula antes. ¿Anotar { $name } como abierto? Entonces hay que hacer el servicio de sus tóricas de ahí.
screen_rig_open_not_known = No se sabe cuál: todas sus juntas cuentan como movidas
screen_rig_left_open = Abierto, y ningún paso lo cerró: { $names }
screen_rig_open_since = Abierto { $when }
screen_rig_open_takes = Abrir { $name } anula su prueba de vacío, recomprobación, tapón y pruebas de mandos.
screen_rig_open_title = Abrir { $name }
screen_rig_open_which = ¿Qué se abrió?
screen_rig_past_days = Montada hace { $age } días; el límite son { $limit } días
screen_rig_past_openings = Abierta { $count } veces desde que se montó; el límite es { $limit }
screen_rig_past_dives = { $count } inmersiones en agua salada desde que se montó; el límite es { $limit }
screen_rig_past_stored = Montada el { $fitted }, demasiado tiempo después de su fecha de curado: según ISO 2230 se podía hasta el { $until }
screen_rig_plan_depth = Profundidad prevista
screen_rig_plan_minutes = Tiempo a profundidad
screen_rig_plan_salinity = Salinidad
screen_rig_plan_salinity_hint = Mar abierto 35, agua dulce 0
screen_rig_plan_title = La inmersión prevista
screen_rig_plan_water = Temperatura del agua
screen_rig_plug = Poner el tapón de { $name }
screen_rig_plug_why = Un tapón olvidado inunda el rig
screen_rig_plug_off_confirm = ¿Anotar que el tapón de { $name } está quitado? Habrá que ponerlo y repetir la recomprobación.
screen_rig_plugs_unseen = { $n ->
    [one] Tapón de { $names }: solo lo ha visto una persona
   *[other] Tapón de { $names }: solo los ha visto una persona
}
screen_rig_plugs_unseen_alone = { $n ->
    [one] Tapón de { $names }: mirado una sola vez
   *[other] Tapón de { $names }: mirados una sola vez
}
screen_rig_plugs_unseen_why_alone = Vuelve a mirarlo, unos minutos después de ponerlo; un tapón olvidado inunda el rig
screen_rig_plugs_never_seen_why = Nadie más lo ha mirado todavía; un tapón olvidado inunda el rig
screen_rig_plugs_unseen_why = Puesto después de que mirara un segundo miembro; un tapón olvidado inunda el rig
screen_rig_port = Puerto
screen_rig_prep_all_done = Todos los pasos hechos; falta terminarla
screen_rig_prep_left = { $n ->
    [one] Preparación sin terminar: queda un paso
   *[other] Preparación sin terminar: quedan { $n } pasos
}
screen_rig_prep_unfinished = Empezada y sin terminar
screen_rig_ready_one_word = Listo hasta las { $time }, con la palabra de una persona
screen_rig_ready_until = Listo hasta las { $time }
screen_rig_recheck = Recomprobar { $name }
screen_rig_recheck_changed = El vacío ha cambiado más de lo que explica la meteorología
screen_rig_recheck_clock = La recomprobación está en el futuro: el reloj se atrasó
screen_rig_recheck_dived = Recomprobado antes de la última inmersión, no después
screen_rig_recheck_surfaced = Recomprobado antes del trabajo de después de una inmersión, no después
screen_rig_recheck_plug = El tapón se quitó después de la recomprobación
screen_rig_recheck_other_plan = Recomprobado con el plan antiguo: lee otra vez el manómetro
screen_rig_recheck_judge_first = Cuando la prueba de { $name } se haya juzgado de nuevo: el plan ha cambiado desde entonces
screen_rig_recheck_none = Sin recomprobar desde la prueba de vacío
screen_rig_recheck_old = La última recomprobación es de hace { $age }
screen_rig_recheck_unclear = Con la última recomprobación no se pudo saber
screen_rig_record_trigger = Disparador de grabación
screen_rig_retire_confirm = ¿Retirar este rig? Su registro se conserva.
screen_rig_retired = Retirado
screen_rig_retired_why = Fuera de uso; su registro se conserva
screen_rig_said_closed = Cerrado: { $name }
screen_rig_said_defect = Defecto anotado
screen_rig_said_defect_closed = Defecto subsanado
screen_rig_said_dive = Inmersión anotada
screen_rig_said_fails = No funciona: { $name }
screen_rig_said_in_use = De nuevo en uso: { $name }
screen_rig_said_judged_again = Juzgada de nuevo para el plan actual
screen_rig_said_lens = Objetivo cambiado
screen_rig_said_looked_inside = Mirado por dentro: { $name }
screen_rig_said_opened = Abierto: { $name }
screen_rig_said_plan = Plan cambiado
screen_rig_said_plug_off = Tapón quitado: { $name }
screen_rig_said_plug_on = Tapón puesto: { $name }
screen_rig_said_inspected = Revisado
screen_rig_said_unread = Anotado
screen_rig_said_retired = Retirado: { $name }
screen_rig_said_works = Funciona: { $name }
screen_rig_seal_age = { $n ->
    [one] Nadie dijo la edad de la tórica: { $names }
   *[other] Nadie dijo la edad de estas tóricas: { $names }
}
screen_rig_seal_disturbed_why = Movida por una apertura { $when }
screen_rig_seal_never_why = No consta ningún servicio
screen_rig_seal_past = Cambiar la tórica: { $name }
screen_rig_ring_unlike = { $name }: la tórica puesta es { $ring }, la lista dice { $listed }
screen_rig_source_defect = Abierto en { $rig }, del que se copió este rig: { $text }
screen_rig_seal_soon = { $name }: { $why }
screen_rig_seals_to_service = Hacer el servicio de { $n } tóricas: { $name }
screen_rig_seal_to_service = Hacer el servicio de { $name }
screen_rig_second_prep_confirm = Hay una preparación en curso. ¿Empezar otra a la vez?
screen_rig_start_voids_confirm = No consta ninguna inmersión desde la recomprobación. ¿Se ha sumergido? Empezar esto anula la recomprobación.
screen_rig_water_in = Se encontró agua: hay que mirar dentro
screen_rig_water_since = Se encontró agua después de la prueba de vacío: hay que mirar dentro
screen_rig_skipped = Saltado: { $step } ({ $reason })
screen_rig_step_not_done = Dos personas firman este paso; no está hecho
screen_rig_step_not_done_alone = Pide dos miradas, con unos minutos entre ellas; no está hecho
screen_rig_step_second = Hecho; el segundo miembro no ha firmado
screen_rig_step_second_alone = Hecho; falta la segunda mirada
screen_rig_step_skipped_two = Dos personas firman este paso; se saltó
screen_rig_step_skipped_two_alone = Pide dos miradas, con unos minutos entre ellas; se saltó
screen_rig_unsigned = { $name }
screen_rig_until_recheck = Entonces { $name } pide otra recomprobación
screen_rig_until_seal = Entonces vence una tórica: { $name }
screen_rig_walk_not_done = No hecha desde que se cerró la última carcasa

# A prep
screen_photo_as_it_is = Entregar tal como la hizo la cámara
screen_photo_as_it_is_question = El archivo puede decir dónde y cuándo se hizo, y con qué teléfono. ¿Entregarlo así?
screen_photo_cannot_clean = Esta clase de archivo no se puede entregar sin su ubicación
screen_photo_no_picture = Esta clase de archivo se guarda, pero aquí no se puede mostrar
screen_photo_file = { $kind }, { $size }
screen_photo_file_pixels = { $kind }, { $w } × { $h } píxeles, { $size }
screen_photo_record = BLAKE3 del archivo: { $hash }
screen_photo_spoken = Foto: { $what }
screen_photo_without_location = Entregar sin su ubicación
screen_prep_at_least = Al menos { $min }
screen_prep_at_most = Como máximo { $max }
screen_prep_between = Entre { $min } y { $max }
screen_prep_can_be_done = Se puede hacer ahora
screen_prep_complete = Todos los pasos están hechos
screen_prep_complete_care = Termínala. El rig queda como está hasta el próximo montaje.
screen_prep_complete_text = Termina la preparación y recomprueba en cubierta antes de la inmersión
screen_prep_ended_text = Lo que aún falta para estar listo está en la página del rig
screen_prep_crossing = Sigue los números del dibujo, del 1 al { $n }: cruzan de lado a lado. Tres rondas en ese orden: a tope suave, firme y final; después otra vez de cada tornillo al de al lado. Si el fabricante dice otra cosa, vale lo del fabricante.
screen_prep_done_by = Hecho por { $who }
screen_prep_end_title = Terminar la preparación
screen_prep_ended = Terminada por { $who }
screen_prep_finding_title = Hallado: { $step }
screen_prep_hand_over_title = Pasar la preparación y el teléfono
screen_prep_interrupted = { $n ->
    [0] Lo dejaste aquí hace { $time }
    [one] Lo dejaste aquí hace { $time }; desde entonces se confirmó un paso
   *[other] Lo dejaste aquí hace { $time }; desde entonces se confirmaron { $n } pasos
}
screen_prep_is_done = Hecho
screen_prep_is_skipped = Saltado
screen_prep_is_waiting = Espera a otros pasos
screen_prep_open_already = Ya consta como abierto
screen_prep_open_elsewhere = Ya está abierto por { $names }, así que no queda prueba de vacío que perder
screen_prep_nothing_to_compare = No cuenta ninguna prueba de vacío suya, así que nada dice qué debería marcar su manómetro. Que haya aire o vacío dentro no dice nada de la inmersión: se prueba con una prueba nueva
screen_prep_open_confirm = Abrir anula la prueba de vacío, la recomprobación, el tapón y las pruebas de mandos de este recinto. ¿Está abierto?
screen_prep_place = { $section }, { $position } de { $of }
screen_prep_reason = Motivo
screen_prep_said_done = Hecho: { $step }
screen_prep_said_ended = Preparación terminada
screen_prep_said_finding = Anotado y hecho
screen_prep_said_handed_over = { $name } continúa
screen_prep_said_reopened = Reabierto: { $step }
screen_prep_said_signed = Firmado por { $name }
screen_prep_said_skipped = Saltado, con el motivo
screen_prep_signatures = Firman dos personas
screen_prep_signatures_alone = Mirar por segunda vez
screen_prep_signatures_left = { $n ->
    [one] Un paso espera a su segundo miembro
   *[other] { $n } pasos esperan a su segundo miembro
}
screen_prep_signatures_left_alone = { $n ->
    [one] Un paso espera la segunda mirada
   *[other] { $n } pasos esperan la segunda mirada
}
screen_prep_skip_hint = Se ve al decir si el rig está listo
screen_prep_skip_title = Saltar: { $step }
screen_prep_skipped = Saltado: { $reason }
screen_prep_end_early = ¿Terminarla aquí?
screen_prep_stuck = Ahora no se puede hacer ningún paso
screen_prep_to_whom = A quién
screen_prep_torque = Par de apriete final según su fabricante: { $torque }.
screen_prep_two_person = Dos personas firman este paso
screen_prep_two_person_alone = Esto lo miras dos veces, con unos minutos entre ellas
screen_prep_value = Lectura
screen_prep_waits = Espera a: { $steps }
screen_prep_wants_second = Espera al segundo miembro
screen_prep_wants_second_alone = Espera la segunda mirada

# A hold
screen_hold_abandon_title = Dejar esta prueba
screen_hold_abandoned = Dejada
screen_hold_ambient = Barómetro ahora
screen_hold_conclude_confirm = Sin veredicto la prueba no cuenta para nada. ¿Terminarla?
screen_hold_end_confirm = ¿Terminar la prueba con este veredicto? { $verdict }. Después no se añade ninguna lectura.
screen_hold_concluded = Terminada { $when }, con { $n } lecturas en { $lasted }
screen_hold_changed_since = Una recomprobación posterior halló otro vacío del que esta prueba predice: lo que probó ya no vale.
screen_hold_judged_again = Juzgada de nuevo para otro plan, límite o volumen, { $when }; para eso no se bombeó ni se leyó nada
screen_hold_ended_open = Terminada sin veredicto
screen_hold_judged_open = Juzgada de nuevo: sin veredicto para el plan actual
screen_hold_fast_leak = El vacío se escapa. Deja de bombear y busca por dónde entra.
screen_hold_first_reading = Empezada: toma una lectura
screen_hold_first_reading_why = Una lectura aún no muestra nada; la siguiente, en medio minuto
screen_hold_gauge = El manómetro marca
screen_hold_gauge_pumped = Bombeado a unos { $vacuum } por debajo del aire exterior, válvula cerrada
screen_hold_gauge_hint = En la unidad del propio manómetro
screen_hold_instruction = Válvula abierta: ¿qué muestra el manómetro de { $name }?
screen_hold_kind = El manómetro muestra
screen_hold_kind_absolute = Presión absoluta interior
screen_hold_kind_below = Vacío por debajo del ambiente
screen_hold_lasted = Duró
screen_hold_leak = Fuga
screen_hold_leak_between = de { $least } a { $most } por inmersión
screen_hold_leak_least = al menos { $least } por inmersión
screen_hold_leaks = Pierde: al menos { $water } por inmersión
screen_hold_leaks_within = Pierde de { $least } a { $most } por inmersión, dentro del límite
screen_hold_limit = El límite es { $limit } para { $depth } y { $minutes }
screen_hold_limit_built_in = El límite es { $limit } para { $depth } y { $minutes }. Es el incorporado: lo que puede mostrar una prueba de un cuarto de hora, no lo que es inocuo. Pon el tuyo en el recinto.
screen_hold_limit_line = límite: { $limit } por inmersión
screen_hold_limit_line_leaves = límite: { $limit } por inmersión; fuera del gráfico desde { $at }
screen_hold_limited_barometer = Lo que la limita: el barómetro
screen_hold_limited_camera = Lo que la limita: el calor de lo que funciona o funcionó dentro
screen_hold_limited_camera_unsaid = Lo que la limita: nadie dijo si hay algo caliente dentro
screen_hold_limited_desiccant_unsaid = Lo que la limita: nadie dijo si hay desecante nuevo dentro; quita vapor del aire, y eso oculta una fuga
screen_hold_limited_desiccant = Lo que la limita: el desecante quita vapor del aire, y eso oculta una fuga
screen_hold_limited_gauge = Lo que la limita: los pasos del manómetro
screen_hold_limited_settling = Lo que la limita: el gas aún se asienta tras el bombeo
screen_hold_limited_temperature = Lo que la limita: la temperatura del gas
screen_hold_leak_seen = Pierde { $water } o más por inmersión. Si queda dentro de { $limit } aún no se sabe.
screen_hold_likely_leaks = Lo más probable es que pierda: unos { $water } por inmersión
screen_hold_where_it_leaks = Primero manguera, racor y válvula: pierden igual que una carcasa, y no hay que abrir nada por ellos. Después los cierres, del último cerrado hacia atrás
screen_hold_again_confirm = La prueba nueva ocupa el lugar de esta en cuanto empieza
screen_hold_limited_volume = Lo que la limita: el volumen libre no se conoce bien
screen_hold_looks_mistyped = Parece mal escrita; fuera del ajuste
screen_hold_not_yet = Todavía no: si es estanco, unos { $time } más
screen_hold_not_yet_between = Todavía no: si es estanco, de { $time } a { $most } más
screen_hold_not_yet_or_longer = Todavía no: si es estanco, { $time } más, o mucho más
screen_hold_wants_readings = { $n ->
    [one] Está por debajo del límite, con muy pocas lecturas: el veredicto pide una más
   *[other] Está por debajo del límite, con muy pocas lecturas: el veredicto pide { $n } más
}
screen_hold_wants_time = Está por debajo del límite, demasiado pronto: el veredicto pide { $time } más para ver cómo se asienta el gas
screen_hold_stays = Sin barómetro tiene que quedarse donde está: en una carretera que sube o baja cambia la presión del aire, y con ella el manómetro.
screen_hold_camera_off_first = Con la cámara encendida, o sin que nadie diga que está apagada, no se sabe cuán templado está el gas, y ninguna recomprobación de esta prueba podrá decir nada. Apágala media hora y repite la prueba; o pon un sensor dentro.
screen_hold_stood_first = Acababa de venir de otro sitio, y ninguna recomprobación de esta prueba podrá decir nada. Déjala aquí una hora y repite la prueba; o pon un sensor dentro.
screen_hold_longer_first = Se leyó durante muy poco tiempo para que una recomprobación pueda decir algo. Repite la prueba, más larga.
screen_hold_cold_first = La cámara acababa de apagarse, no se sabe cuán templado estaba el gas, y ninguna recomprobación de esta prueba podrá decir nada. Déjala enfriar una hora y repite la prueba; o pon un sensor dentro.
screen_hold_packs_first = Nadie dijo si dentro hay sobres nuevos, y ninguna recomprobación de esta prueba podrá decir nada. Si no los hay, dilo y repite la prueba.
screen_hold_sensor_first = Con este termómetro ninguna recomprobación de esta prueba podrá decir nada. Pon un sensor dentro y repite la prueba.
screen_hold_deeper_first = Con este vacío ninguna recomprobación de esta prueba podrá decir nada. Haz vacío hasta { $vacuum } y repite la prueba.
screen_hold_never_rechecked = Ninguna recomprobación de esta prueba podrá decir nada: manómetro, termómetro, barómetro y límite juntos dejan demasiada duda. Hace falta otro manómetro u otro termómetro.
screen_hold_no_night = Una recomprobación poco después de esta prueba podrá decir algo; tras una noche, no.
screen_hold_night_either = Una recomprobación poco después de esta prueba podrá decir algo; tras una noche, no. Con más vacío o con un sensor dentro sí.
screen_hold_night_deeper = Una recomprobación poco después de esta prueba podrá decir algo; tras una noche, no. Con más vacío sí.
screen_hold_night_sensor = Una recomprobación poco después de esta prueba podrá decir algo; tras una noche, no. Con un sensor dentro sí.
screen_hold_too_coarse = Tras una noche la recomprobación en cubierta no podrá decir nada con este manómetro: sus pasos de { $step } son demasiado anchos para este vacío. Usa uno con pasos de { $wanted } o menores, o haz más vacío.
screen_hold_vacuum_lost = Casi todo el vacío se ha ido: lo que queda ya no muestra nada. Busca por dónde entra.
screen_hold_thermometer_seldom = La temperatura no se leyó durante { $gap }, así que la prueba se juzga como si no se midiera. Léela con cada lectura: vuelve a contar cuando ese hueco sea poco de la prueba.
screen_hold_thermometer_unread = No se leyó ninguna temperatura, así que la prueba se juzga como si no se midiera. Léela con cada lectura.
screen_hold_not_yet_never = Todavía no, y no se puede decir cuánto tardará
screen_hold_now = Manómetro, última
screen_hold_read_in = Próxima lectura en { $time }
screen_hold_read_now = Lee el manómetro ahora
screen_hold_reading_title = Próxima lectura
screen_hold_resolution = Menor paso que muestra
screen_hold_resolution_hint = En la unidad del manómetro: 1 si no tiene decimales, 0,1 si tiene uno
screen_hold_said_abandoned = Prueba dejada
screen_hold_said_aside = Lectura apartada; queda en el registro
screen_hold_steps_doubted = Mira el manómetro: cada lectura es un paso entero de { $steps }. Si muestra { $said }, esto es estanco; si no, todavía no se sabe
screen_hold_said_steps = Anotado lo que muestra el manómetro
screen_hold_said_concluded = Prueba terminada
screen_hold_said_reading = Lectura añadida
screen_hold_seal_not_serviced = { $name } está sin servicio desde que se movió: esta prueba no contaría
screen_hold_set_aside = Apartada
screen_hold_set_aside_confirm = ¿Apartar esta lectura por mal escrita? Queda en el registro.
screen_hold_source = La temperatura se toma
screen_hold_source_air = En el aire junto a la carcasa
screen_hold_source_inside = Dentro de la carcasa
screen_hold_source_none = No se toma
screen_hold_source_surface = Sobre la carcasa, a la sombra
screen_hold_suspects = { $n ->
    [one] Una lectura parece mal escrita
   *[other] { $n } lecturas parecen mal escritas
}
screen_hold_temperature = Temperatura ahora
screen_hold_temperature_last = Temperatura, última
screen_hold_tight = Estanco: como máximo { $water } por inmersión
screen_hold_open = Con la válvula abierta, antes de bombear, el manómetro muestra
screen_hold_open_nothing = Nada: es un vacuómetro
screen_hold_open_air = Unos { $pressure }, el aire exterior: es un manómetro absoluto
screen_hold_open_other = Otro número
screen_hold_open_reads = Qué número
screen_hold_open_reads_hint = Solo si es otro: con él se corrige un manómetro algo desviado
screen_hold_inside = Qué queda encerrado
screen_hold_inside_same = Como la última vez: { $what }
screen_hold_inside_below = Se dice abajo
screen_hold_inside_unsaid = sin decir
screen_hold_inside_said = Encerrado: { $what }
screen_hold_not_said = Sin decir: se cuenta con cualquiera de ellos
screen_hold_camera = Cámara, monitor o foco dentro
screen_hold_camera_cold = Apagado y frío
screen_hold_camera_warm = Apagado en la última hora
screen_hold_camera_on = Encendido
screen_hold_desiccant = Desecante
screen_hold_desiccant_none = Sin desecante, o sobres gastados
screen_hold_desiccant_fresh = Sobres nuevos
screen_hold_stood = En la última hora la carcasa
screen_hold_stood_here = Estuvo aquí
screen_hold_stood_moved = Vino de un coche, del sol o de la cuba de enjuague
screen_hold_sure = Es así: { $value }
screen_hold_unlikely = parecía improbable, confirmado
screen_hold_confirmed = { $n ->
    [one] Un número parecía improbable y lo confirmó quien lo escribió
   *[other] { $n } números parecían improbables y los confirmó quien los escribió
}
screen_hold_unit = Unidad del manómetro
screen_hold_way_camera_off = Apaga la cámara, espera { $wait } a que se enfríe, y luego una prueba nueva de unos { $time }
screen_hold_way_camera_cools = Espera { $wait } a que se enfríe lo que se apagó, y luego una prueba nueva de unos { $time }
screen_hold_way_humidity = Midiendo la humedad interior al cerrar la válvula: una prueba nueva de unos { $time }
screen_hold_way_probe = Con una sonda sobre la carcasa: una prueba nueva de unos { $time }
screen_hold_way_say_camera = Di qué hacía la cámara: si está fría, unos { $time } más
screen_hold_way_say_desiccant = Di si hay desecante nuevo dentro: si no lo hay, unos { $time } más
screen_hold_way_sensor = Con un sensor en el gas interior: una prueba nueva de unos { $time }
screen_hold_wet_inside = Parece húmedo por dentro: el vapor, y no una fuga, explicaría esta subida
screen_hold_at_most = Hasta ahora es posible una fuga de hasta { $water } por inmersión
screen_hold_broke = Desde las { $time } el vacío cayó más deprisa que antes, o de golpe: una fuga que empezó entonces, o una bocanada de aire por una junta. Mira juntas, válvula y manguera, y repite la prueba.
screen_hold_grew = El vacío ha crecido más de lo que explica el enfriamiento. Ninguna carcasa cerrada hace eso: ¿se bombeó otra vez, o se leyó otro manómetro? Repite la prueba.
screen_hold_overruled = { $n ->
    [one] Se apartó una lectura aunque nada habla en su contra: cuenta. Si está mal, repite la prueba.
   *[other] Se apartaron { $n } lecturas aunque nada habla en su contra: cuentan. Si están mal, repite la prueba.
}
screen_hold_set_aside_counts = Apartada; cuenta de todos modos
screen_hold_imported = Traída de un archivo, para mirarla. No prueba nada: nadie anotó el cierre anterior a ella.
screen_hold_wait_for = Espera { $time } más y podría mostrar { $water }
screen_hold_with = Con qué manómetro
screen_hold_file_wrong = { $n ->
    [one] Una fila de { $name } está mal:
   *[other] { $n } filas de { $name } están mal:
}
screen_hold_file_more = { $n ->
    [one] y una más
   *[other] y { $n } más
}
screen_hold_rate_at_most = Tasa de fuga, como máximo
screen_hold_hole_at_most = Como un solo orificio redondo, como máximo
screen_hold_details = Para quien quiera saber más
screen_hold_humidity = Humedad relativa interior, al cerrar la válvula
screen_hold_humidity_hint = Déjalo vacío salvo que un sensor interior la muestre. Dice cuánto puede mover la presión el vapor del aire.
screen_hold_air = Presión del aire exterior
screen_hold_air_phone = Según este teléfono: { $pressure }, más o menos { $error }
screen_hold_air_assumed = El fabricante de su barómetro no declara error: se admite ese.
screen_hold_air_stated = El error es el que declara el fabricante de su barómetro.
screen_hold_air_steps = Lee en pasos de { $step }.
screen_hold_air_often = Llega una cifra nueva cada { $time }.
screen_hold_air_typed = Por otro barómetro, o no se sabe
screen_hold_file_row = Línea { $line }: { $why }
screen_hold_said_rows_wrong = Algunas filas de ese archivo están mal; aún no se tomó nada
screen_hold_said_file_left = Archivo dejado; no se tomó nada
screen_hold_leak_not_known = todavía no se sabe
screen_hold_cannot_judge = No se puede juzgar
screen_hold_cannot_judge_why = Una lectura del registro no puede ser cierta. Apártala si la prueba sigue en curso; si no, repite la prueba.
screen_hold_brought_other_enclosure = El archivo es de otro recinto: { $name }
screen_hold_brought_leaks = Sus lecturas muestran una fuga, { $water } por inmersión o más, desde el último cierre. La carcasa cuenta como con fuga hasta que se abra o se repita la prueba.
screen_hold_brought_other_volume = El volumen libre del archivo, { $volume }, no es el de este recinto
screen_hold_brought_other_gauge = Se leyó con otro manómetro que la última prueba de aquí
screen_hold_brought_before_closing = Se hizo antes del último cierre: { $when }
screen_hold_brought_when_unknown = El archivo no dice cuándo se hizo
screen_hold_brought_other_limit = El límite del propio archivo es { $limit } por inmersión; se juzga con el del recinto
screen_hold_brought_assumed = El archivo no dice { $key }: se supone { $value }
screen_hold_brought_unknown = No se entiende en el archivo: { $key }
screen_hold_brought_no_temperatures = El archivo nombra un termómetro y no tiene temperaturas
screen_hold_brought_rows = Filas incorrectas omitidas: { $n }
screen_hold_brought_thinned = De { $n } lecturas se conservan { $kept }, más juntas al principio

# Deck recheck
screen_recheck_air_first = Primero el aire en cubierta
screen_recheck_air_title = Aire en cubierta ahora
screen_recheck_as_it_should = Marcó lo que debía, { $when }
screen_recheck_barometer_down = Barómetro más bajo: { $amount } menos de vacío
screen_recheck_barometer_up = Barómetro más alto: { $amount } más de vacío
screen_recheck_changed = Ha cambiado desde que se probó
screen_recheck_expected = Debería marcar ahora
screen_recheck_expected_then = Debía marcar
screen_recheck_lower = Menos vacío del que debería. No lo sumerjas: repite la prueba de vacío.
screen_recheck_water_inside = Después de una inmersión, vacío perdido puede ser agua dentro. No enciendas ni cargues nada; ábrela con el procedimiento de agua dentro.
screen_recheck_higher = Más vacío del que debería: ¿es esta carcasa y este manómetro? No lo sumerjas: repite la prueba de vacío.
screen_recheck_other = El vacío ha cambiado más de lo que explica la meteorología. No lo sumerjas: repite la prueba de vacío.
screen_recheck_camera = Cámara, monitor o foco en { $name }
screen_recheck_camera_hint = Encendido: funciona, o funcionó en la última media hora. Una lectura antes de encender dice más.
screen_recheck_camera_off = Apagado
screen_recheck_camera_unsaid = Nadie dijo si algo dentro está encendido. Si todo está apagado, dilo con el aire: entonces una lectura dice algo, o lo dice antes.
screen_recheck_limited_no_barometer = En la prueba no hubo barómetro con que comparar: repítela con uno
screen_recheck_camera_off_first = Con lo que está encendido dentro ninguna lectura dice nada. Apágalo ahora y lee el manómetro dentro de { $minutes } min.
screen_recheck_camera_off_tells_more = Una cámara en marcha calienta el gas. Una lectura antes de encender dice más.
screen_recheck_camera_on = Encendido
screen_recheck_camera_seen = { $n ->
    [one] Esta cámara calienta el gas hasta { $warms }: lo mostró una lectura con ella encendida
   *[other] Esta cámara calienta el gas hasta { $warms }: lo mostraron { $n } lecturas con ella encendida
}
screen_recheck_old_plan = Se leyó { $value } con el plan antiguo ({ $who }): lee otra vez para el plan actual
screen_recheck_proved = Por la prueba de vacío: { $held }
screen_recheck_inside_less = Cámara caliente, o una fuga conocida por la prueba: { $amount } menos de vacío
screen_recheck_inside_more = Cámara enfriada, los sobres secaron el aire: { $amount } más de vacío
screen_recheck_limited_barometer = Lo que más duda deja es la presión del aire: lee el mismo barómetro que en la prueba
screen_recheck_limited_brought = Viene de otro sitio hace menos de una hora, y eso es lo que más duda deja: déjalo aquí y vuelve a leer
screen_recheck_limited_camera = Lo que más duda deja es lo que pueda hacer una cámara dentro: lee antes de encenderla, o media hora después de apagarla
screen_recheck_limited_gauge = Lo que más duda deja es el manómetro: uno con pasos menores ve más
screen_recheck_limited_leak = Lo que más duda deja es la fuga vista en la prueba: una prueba más larga, o recomprobar antes
screen_recheck_limited_packs = Lo que más duda deja son los sobres nuevos: mide la humedad al cerrar, o repite la prueba ahora
screen_recheck_limited_temperature = Lo que más duda deja es la temperatura: tómala sobre la carcasa o dentro, en la prueba y ahora
screen_recheck_missed_below = No habría visto un cambio menor que { $amount }
screen_recheck_said_slip = Anotado como mal escrito. Lee otra vez el manómetro.
screen_recheck_slip_by = Primero se escribió { $value } y se llamó error: { $why }, { $who }
screen_recheck_slip_reason = ¿Mal escrito? Di qué estaba mal
screen_recheck_unclear_time = No se puede saber: el teléfono estuvo apagado y no consta cuánto tiempo pasó. Haz otra prueba de vacío.
screen_recheck_unclear_below = No se puede saber: no se habría visto un cambio menor que { $amount }
screen_recheck_no_hold = No cuenta ninguna prueba de vacío: no hay con qué comparar
screen_recheck_progress = { $done } de { $all } leídos
screen_recheck_read = Lee el manómetro
screen_recheck_read_by = Leído { $value }: { $who }
screen_recheck_reads = El manómetro marca
screen_recheck_reads_on = Marca, en { $gauge }
screen_recheck_ready = No ha cambiado nada: listo hasta las { $time }
screen_recheck_said_air = Aire anotado
screen_recheck_said_changed = { $name }: ha cambiado
screen_recheck_said_same = { $name }: no ha cambiado nada
screen_recheck_said_unclear = { $name }: no se puede saber
screen_recheck_temperature_air = Temperatura del aire junto a las carcasas
screen_recheck_temperature_inside = Temperatura dentro de { $name }
screen_recheck_temperature_surface = Temperatura sobre { $name }, a la sombra
screen_recheck_wants_air = No se puede saber sin la temperatura del aire al lado, como en su prueba
screen_recheck_wants_inside = No se puede saber sin la temperatura interior, como en su prueba
screen_recheck_wants_barometer = No se puede saber sin barómetro, como en su prueba de vacío
screen_recheck_wants_surface = No se puede saber sin la temperatura sobre la carcasa, como en su prueba
screen_recheck_came_up = Salió de agua a { $water } y puede seguir así de frío por dentro. Espera { $minutes } min y lee: antes no se puede saber. Con un sensor dentro, en la prueba y ahora, sí.
screen_recheck_came_up_long = Salió de agua a { $water } y puede seguir así de frío por dentro: eso deja la lectura menos segura
screen_recheck_too_soon = Demasiado pronto para saber: una fuga en el límite aún no se vería. Lee el manómetro dentro de { $minutes } min.
screen_recheck_tells_now = Entonces no se podía saber y ahora sí: lee otra vez el manómetro
screen_recheck_limited_water = Lo que más duda deja es el agua de la que salió: lee otra vez cuando esté tan templado como el aire
screen_recheck_temperature_down = Más frío dentro: { $amount } más de vacío
screen_recheck_temperature_hint = Tomada igual que en la prueba
screen_recheck_temperature_up = Más cálido dentro: { $amount } menos de vacío
screen_recheck_stood = En la última hora
screen_recheck_stood_here = Ha estado aquí
screen_recheck_stood_elsewhere = Viene de otro sitio
screen_recheck_stood_hint = De una cabina, un coche, el sol o un tanque de enjuague su gas aún no está tan caliente como el aire de aquí. Una inmersión registrada ya se tiene en cuenta.
screen_recheck_brought = Viene de otro sitio hace menos de una hora: puede que su gas aún no esté como lo que mide el termómetro. Déjalo aquí una hora y lee después. Un sensor dentro, en la prueba y ahora, lo diría enseguida.
screen_recheck_air_moved = Ha cambiado { $value } desde la prueba: más de lo que hace el tiempo. Tras un viaje es normal; ¿hay un dígito mal?
screen_recheck_warmed = Ha cambiado { $value } desde la prueba. ¿Hay un dígito mal?
screen_recheck_then = Leído en la prueba
screen_recheck_unchanged_but = { $n ->
    [one] No ha cambiado nada, pero una cosa lo impide
   *[other] No ha cambiado nada, pero { $n } cosas lo impiden
}
screen_recheck_unclear = No se puede saber: toma la temperatura y el barómetro como en la prueba, o repite la prueba
screen_recheck_left_less = { $amount } menos de vacío de lo que predicen la prueba y la meteorología
screen_recheck_left_more = { $amount } más de vacío de lo que predicen la prueba y la meteorología
screen_recheck_cannot_judge = La prueba o una lectura del registro no puede ser cierta: repite la prueba. { $why }

# Seals
screen_seal_age_days = En uso desde hace
screen_seal_again_hint = Otro miembro que no la halló mira todo alrededor, bajo una luz
screen_seal_again_note = Qué se vio
screen_seal_again_title = Mirar otra vez la tórica hallada mala
screen_seal_age_title = ¿Qué edad tiene la tórica puesta?
screen_seal_cured = Fecha de curado en el envase
screen_seal_cured_hint = Como está impresa: 2Q25 o 2025-05
screen_seal_between = de { $low } a { $high } por las tolerancias
screen_seal_dives = Inmersiones en agua salada desde entonces
screen_seal_faulty = { $what }, y la tórica sigue puesta. Cámbiala.
screen_seal_faulty_short = Tiene puesta una tórica que no debe volver a ponerse. Cámbiala.
screen_seal_fill = Llenado del alojamiento
screen_seal_finding = Hallado en ella
screen_seal_finding_clean = Nada
screen_seal_finding_dry = Seca o quebradiza
screen_seal_finding_flat = Aplastada
screen_seal_finding_hair = Un pelo o fibra, quitado
screen_seal_finding_nick = Una mella o un corte
screen_seal_finding_sand = Arena o sal, lavada
screen_seal_finding_swollen = Hinchada
screen_seal_fit_high = { $what } { $value }: el máximo publicado es { $limit }
screen_seal_fit_high_worst = { $what } { $value } con las peores tolerancias: el máximo publicado es { $limit }
screen_seal_fit_kept = Compresión, estiramiento y llenado cumplen los límites publicados para juntas estáticas
screen_seal_fit_low = { $what } { $value }: el mínimo publicado es { $limit }
screen_seal_fit_low_worst = { $what } { $value } con las peores tolerancias: el mínimo publicado es { $limit }
screen_seal_fit_maker = El alojamiento propio de un fabricante puede ser correcto y salirse de un límite general: su manual manda sobre esto.
screen_seal_fit_title = Montar una tórica nueva
screen_seal_fitted = Montada
screen_seal_gland_depth = Profundidad del alojamiento
screen_seal_gland_width = Anchura del alojamiento
screen_seal_grease = Grasa en uso
screen_seal_grease_avoid = La grasa { $grease } y { $material } no van juntas: la tórica se hincha o se ablanda
screen_seal_grease_caution = Grasa { $grease } sobre { $material }: solo donde lo diga el fabricante de la carcasa
screen_seal_grease_mineral = Aceite mineral
screen_seal_grease_pfpe = Perfluoropoliéter
screen_seal_grease_silicone = Silicona
screen_seal_inside = Diámetro interior
screen_seal_inside_hint = Tórica apoyada en plano, sin estirar
screen_seal_material = Material
screen_seal_material_au = poliuretano de poliéster
screen_seal_material_cr = cloropreno
screen_seal_material_epdm = etileno-propileno
screen_seal_material_ffkm = perfluoroelastómero
screen_seal_material_fkm = fluorocarbono
screen_seal_material_hnbr = nitrilo hidrogenado
screen_seal_material_nbr = nitrilo
screen_seal_material_nr = caucho natural
screen_seal_material_sbr = estireno-butadieno
screen_seal_material_vmq = silicona
screen_seal_measure_title = Medir la tórica
screen_seal_not_known = no se sabe
screen_seal_openings = Aperturas desde entonces
screen_seal_pack = De qué envase
screen_seal_part_back = Tórica puesta, bien asentada en todo su contorno
screen_seal_part_cleaned = Tórica, ranura y cara limpias
screen_seal_part_greased = Poca grasa: brillo, sin grumos
screen_seal_part_looked = Mirada en todo su contorno, bajo una luz
screen_seal_part_out = Tórica fuera, sin herramienta afilada
screen_seal_said_again = Anotado: la miró otra persona
screen_seal_said_age = Edad anotada
screen_seal_said_seen = Anotado: la tórica puesta no debe volver a ponerse
screen_seal_said_faulty = Anotado: esta tórica lo impide hasta que se cambie
screen_seal_said_fitted = Tórica nueva montada

screen_seal_said_serviced = Servicio de la junta hecho
screen_seal_said_size = La medida es { $size }
screen_seal_section = Grosor de la tórica
screen_seal_section_hint = No la aprietes al medir
screen_seal_size = Medida
screen_seal_size_hint = Como AS568-258 o 151,99 x 3,53 mm
screen_seal_size_is = La medida que consta
screen_seal_size_iso = De la serie ISO 3601-1
screen_seal_size_likely = Difiere { $inside } por dentro, { $section } en grosor
screen_seal_size_metric = Métrica, fuera de la serie
screen_seal_size_none = Ninguna medida conocida se acerca
screen_seal_size_none_why = Una tórica usada puede haberse estirado o hinchado. Mide otra vez, o la tórica del otro lado.
screen_seal_size_unlikely = Improbable: difiere { $inside } por dentro, { $section } en grosor
screen_seal_squeeze = Compresión
screen_seal_stretch = Estiramiento
screen_seal_take_out = Saca la tórica sin herramienta afilada y continúa
screen_seal_temperature = El agua prevista está a { $water }; { $material } está hecho para { $min } a { $max }
screen_seal_unit = Medido en
screen_seal_unit_inch = Pulgadas
screen_seal_unit_mm = Milímetros
screen_seals_all_right = No vence nada
screen_seals_age_unknown = Nadie dijo la edad de la tórica
screen_seals_empty = Aquí estarán las tóricas del rig, primero la que antes vence. Edita el rig para ponerlas en la lista.
screen_seals_days = { $n ->
    [one] un día
   *[other] { $n } días
}
screen_seals_dives = { $n ->
    [one] una inmersión en agua salada
   *[other] { $n } inmersiones en agua salada
}
screen_seals_left = Queda: { $what }
screen_seals_openings = { $n ->
    [one] una apertura
   *[other] { $n } aperturas
}
screen_seals_next = { $name } primero
screen_seals_next_in = Lo primero que vence: { $name }, en { $left }
screen_seals_next_unknown = { $name }: edad desconocida
screen_seals_none = No hay juntas en la lista
screen_seals_replace = Cámbiala. { $why }
screen_seals_serviced = Servicio hecho por { $who }
# The service of a seal
screen_service_back = Ponla, bien asentada en todo su contorno
screen_service_back_text = Sin torcer, y sin nada debajo
screen_service_back_bad = Pon una tórica nueva, bien asentada en todo su contorno
screen_service_bad_confirm = { $what }: entonces esta junta no debe volver a montarse, y queda anotado. ¿Es así?
screen_service_bad = { $what }: esta tórica no debe volver a ponerse
screen_service_box_lacks = En la caja no hay ninguna tórica que sirva
screen_service_clean = Limpia la tórica, su ranura y la cara
screen_service_clean_text = Que no quede ningún hilo del paño en la ranura
screen_service_clean_bad = Limpia la ranura y la cara
screen_service_confirms = Para el paso de la preparación esto confirma: { $parts }
screen_service_found = Hallado: { $what }
screen_service_grease = Engrásala con poca grasa
screen_service_grease_bad = Engrasa la tórica nueva con poca grasa
screen_service_grease_text = Brillo, sin grumos
screen_service_keep_confirm = { $what }: puede perder, y el rig no estará listo con ella. ¿Se puso de todos modos?
screen_service_look = Mírala en todo su contorno, bajo una luz
screen_service_look_text = Pásala entre dedos limpios. ¿Qué tiene?
screen_service_new_ring = Tórica nueva: { $name }
screen_service_note_title = La misma tórica, con una nota
screen_service_place = { $n } de { $of }
screen_service_too_old_confirm = Según ISO 2230 se podía montar hasta el { $until }. Lo impedirá. ¿Montada de todos modos?
screen_service_wants_new = Pide una tórica nueva
screen_sign_alone_text = { $what }: { $who }. Míralo de nuevo, con tus manos, y haz una foto de cómo está ahora. La respuesta del rig dirá que se apoya en la palabra de una persona.
screen_sign_aside = { $n ->
    [one] una lectura apartada por mal escrita
   *[other] { $n } lecturas apartadas por mal escritas
}
screen_sign_asked = { $name }: míralo tú
screen_sign_code = Código de { $name }
screen_sign_code_hint = Lo escribe quien firma, sin que lo vean los demás
screen_sign_hold = Prueba de vacío de { $name }
screen_sign_hold_of = { $n ->
    [one] una lectura en { $time }, límite { $limit }
   *[other] { $n } lecturas en { $time }, límite { $limit }
}
screen_sign_limit_changed = el límite era { $limit } cuando empezó
screen_sign_loss_text_there = Firma solo si estaba ahí cuando se hizo la prueba de vacío. Si llegó después, abre, cierra y repite la prueba.
screen_sign_loss_text = Queda como observación hasta el próximo montaje. Quien firma miró lo que hay ahora.
screen_sign_look_again = Volver a mirarlo, a solas
screen_sign_nobody = No hay nadie más en el equipo. Añade al otro miembro, o di en la página del equipo que sois una sola persona
screen_sign_not_there = Si { $name } no está, la página del equipo dice a quién más se puede pedir; quien se fue se marca allí.
screen_sign_open = abierto
screen_sign_recheck_again = Ya no cuenta: recomprueba
screen_sign_photos = { $n ->
    [one] Una foto
   *[other] { $n } fotos
}
screen_sign_plug_in = tapón puesto: { $who }
screen_sign_plugs = Mira y toca cada tapón
screen_sign_plugs_text = Cada tapón a fondo y apretado a mano. Un tapón olvidado inunda el rig.
screen_sign_said_walked = Ronda hecha. Otro miembro mira y firma.
screen_sign_said_walked_alone = Ronda hecha. Vuelve a mirar unos minutos después, con una foto.
screen_sign_text = { $what }: { $who }. Pasa el teléfono. Quien firma lo miró con sus propios ojos y manos.
screen_sign_walk = Dad la ronda al rig cerrado, los dos
screen_sign_walk_alone = Da la ronda al rig cerrado, dos veces
screen_sign_walk_text = Una persona lee, la otra toca. Lo que no está como debe se subsana antes de que firme nadie.
screen_sign_walk_text_alone = Léelo en voz alta y tócalo, la segunda vez unos minutos después. Lo que no está como debe se subsana antes de firmar.

# The box of rings
screen_box_add_title = Meter tóricas en la caja
screen_box_count_again = Se sacaron más tóricas de las que se metieron: cuéntalas de nuevo
screen_box_count_hint = Lo que hay ahora; vale por todo lo metido y sacado antes
screen_box_cured = curada { $cured }
screen_box_empty = Aquí estarán las tóricas de repuesto del equipo: cuántas, de qué envase, hasta cuándo se pueden montar. La que se monta sale de la caja por sí sola.
screen_box_how_many = Cuántas
screen_box_in = { $n ->
    [0] No queda ninguna
   *[other] { $n } en la caja
}
screen_box_inspect = Pasados los años de ISO 2230 desde { $until }: solo tras la inspección que pide
screen_box_minus = { $n } más sacadas que metidas
screen_box_none = No hay nada en la caja
screen_box_pack = envase { $pack }
screen_box_rings = { $n ->
    [0] No queda ninguna tórica
    [one] Una tórica en la caja
   *[other] { $n } tóricas en la caja
}
screen_box_said_counted = Contadas
screen_box_said_stocked = Metidas en la caja
screen_box_said_taken = Sacada una
screen_box_shore = { $hardness } Shore A
screen_box_title = La caja de tóricas
screen_box_too_old = Demasiado vieja para montarla desde { $until } (ISO 2230)
screen_box_until = Se puede montar hasta { $until } (ISO 2230)

# Rings for a shoot
screen_spares_before = Antes del primer día
screen_spares_blocks = Lo impide desde: { $day }
screen_spares_counted = { $n ->
    [0] Contado sin aperturas
    [one] Contado con cada cierre abierto una vez al día, cada día hasta su final
   *[other] Contado con cada cierre abierto { $n } veces al día, cada día hasta su final
}
screen_spares_day = Día { $n }, { $date }
screen_spares_days = Días
screen_spares_dives = Inmersiones al día
screen_spares_empty = Di cuántos días, inmersiones y aperturas se prevén: aquí estará qué vence cuándo y qué tóricas llevar.
screen_spares_enough = La caja tiene todo lo que piden estos días
screen_spares_first_day = Primer día
screen_spares_first_day_hint = Año, mes, día: 2026-06-03
screen_spares_fresh = Dulce
screen_spares_have = { $have ->
    [0] En la caja no hay
   *[other] En la caja hay { $have }
}{ $order ->
    [0] .
   *[other] : pide { $order }.
}
screen_spares_in_salt = En agua salada
screen_spares_no_size = Tóricas cuya medida nadie anotó
screen_spares_none = No hay ningún rodaje previsto
screen_spares_nothing_due = En estos días no vence nada
screen_spares_openings = Aperturas al día
screen_spares_openings_hint = De cada cierre; cuenta los cambios de puerto y las cargas de baterías
screen_spares_order = { $n ->
    [one] Pedir una tórica
   *[other] Pedir { $n } tóricas
}
screen_spares_plan_title = El rodaje previsto
screen_spares_said_planned = Rodaje previsto
screen_spares_salt = Salada
screen_spares_take = Lleva { $n }: { $seals ->
    [one] una para la junta
   *[other] una para cada una de { $seals } juntas
}{ $due ->
    [0] .
    [one] {" "}y una que vence.
   *[other] {" "}y { $due } que vencen.
}
screen_spares_title = Tóricas para un rodaje
screen_spares_too_old = { $n ->
    [one] Otra que hay dentro será ya demasiado vieja.
   *[other] Otras { $n } que hay dentro serán ya demasiado viejas.
}
screen_spares_water = Agua

# Journal
screen_journal_changed = Cambiado por una edición: hay que probarlo de nuevo
screen_journal_chose = Elección del equipo
screen_journal_closed = Cerrado
screen_journal_code_set = Puso su propio código
screen_journal_control_fails = El mando no funciona
screen_journal_control_works = El mando funciona
screen_journal_count = { $n ->
    [one] Una entrada
   *[other] { $n } entradas
}
screen_journal_defect = Defecto
screen_journal_defect_closed = Defecto subsanado
screen_journal_dive = Inmersión
screen_days_any = Todo
screen_days_controls = { $n ->
    [one] Un mando probado
   *[other] { $n } mandos probados
}
screen_days_crew = equipo y teléfonos
screen_days_faults = lo que estaba mal
screen_days_filter = Qué mostrar
screen_days_housing = De qué carcasa
screen_days_kind = De qué clase
screen_days_member = De quién
screen_days_none = De esto no hay nada en el diario.
screen_days_none_yet = De esto no hay nada entre las entradas más nuevas. Puede haberlo en las anteriores.
screen_days_only = Solo { $what }
screen_days_photos = fotos
screen_days_proof = pruebas de vacío y recomprobaciones
screen_days_readings = { $n ->
    [one] una lectura
   *[other] { $n } lecturas
}
screen_days_rig = cambios del rig
screen_days_rings = { $n ->
    [one] Servicio de una tórica
   *[other] Servicio de { $n } tóricas
}
screen_days_rings_kind = tóricas
screen_days_span = { $from } a { $to }
screen_days_steps = { $n ->
    [one] un paso hecho
   *[other] { $n } pasos hechos
}
screen_days_today = Hoy, { $day }
screen_days_water = inmersiones y trimado
screen_days_words = Con estas palabras
screen_days_work = preparaciones, aperturas, pruebas
screen_days_yesterday = Ayer, { $day }
screen_journal_empty = Lo que se haga estará aquí, con quién y cuándo
screen_journal_faulty = Una tórica que no debe volver a ponerse: { $name }
screen_journal_fitted = Tórica nueva: { $name }
screen_journal_handed_over = Relevo en la preparación
screen_journal_hold_abandoned = Prueba de vacío dejada
screen_journal_hold_concluded = Prueba de vacío terminada
screen_journal_hold_judged_again = Prueba de vacío juzgada de nuevo
screen_journal_hold_started = Prueba de vacío empezada
screen_journal_in_use = Rig de nuevo en uso
screen_journal_unread_answered = Consultado en otro lugar lo que aquí no se puede leer
screen_journal_took_away = Una edición quitó
screen_journal_took_away_setting_up = Cambiado mientras se configuraba
screen_journal_loss_signed = Firmada una edición
screen_journal_inspected = Revisado tras lo que pudo dañarlo: { $name }
screen_journal_looked_again = Mirado de nuevo, y no es así: { $name }
screen_journal_member = Miembro del equipo
screen_journal_member_back = De vuelta en el equipo
screen_journal_member_left = Dejó el equipo
screen_journal_members_both = { $one } y { $other }
screen_journal_members_joined = Dos nombres, una persona
screen_journal_of_rig = { $rig }. { $who }
screen_journal_opened = Abierto
screen_journal_old_ring = en la vieja: { $found }
screen_journal_part_off = Punto deshecho
screen_journal_part_on = Punto confirmado
screen_journal_phone_of = Este teléfono tiene dueño
screen_journal_device_admitted = Un teléfono es de este equipo
screen_journal_device_before = Un teléfono se conocía antes de que se preguntara por ellos
screen_journal_device_by_code = Unido con el código de un teléfono
screen_journal_device_dismissed = Un teléfono no es de este equipo
screen_journal_device_invited = Se mostró un código para unirse
screen_journal_device_invited_how = Con él se une un teléfono
screen_journal_device_joined = Un teléfono leyó un código para unirse
screen_journal_device_same = Este teléfono sigue con otra clave
screen_journal_device_uninvited = Un código para unirse ya no sirve
screen_journal_photo = Foto
screen_journal_plug_off = Tapón quitado
screen_journal_plug_on = Tapón puesto
screen_journal_plug_signed = Tapón mirado por segunda vez
screen_journal_prep_cut = Preparación terminada antes de tiempo
screen_journal_prep_ended = Preparación terminada
screen_journal_prep_started = Preparación empezada: { $title }
screen_procedure_beside = Ningún procedimiento de aquí tiene su identificador: se suma a los demás
screen_procedure_brought_by = traído por { $who }
screen_procedure_built_in = incorporado
screen_procedure_gone = Ya no está disponible: entrega el archivo otra vez
screen_procedure_is = { $kind }: { $steps }
screen_procedure_known = «{ $title }» ya está aquí, palabra por palabra
screen_procedure_left = Omitido. No se anotó nada
screen_procedure_no = Omitirlo
screen_procedure_q = ¿Quiere tu equipo trabajar con este procedimiento?
screen_procedure_replaces = Ocupa el lugar de «{ $title }» ({ $from }; { $steps })
screen_procedure_steps = { $n ->
    [one] 1 paso
   *[other] { $n } pasos
}, { $two } de ellos firmados por dos
screen_procedure_under_way = Las preparaciones en curso siguen con los pasos con que empezaron
screen_procedure_was_for = Aquel es de otra clase: { $kind }
screen_procedure_whose = El archivo no dice quién lo escribió: quien diga que sí lo trae con su nombre
screen_procedure_yes = Sí: traerlo
screen_journal_procedure = Procedimiento traído
screen_journal_reading = Lectura
screen_journal_reading_aside = Lectura apartada
screen_journal_steps = El manómetro muestra pasos mayores de los que se dijo
screen_journal_steps_stand = El manómetro muestra los pasos que se dijo
screen_journal_recheck_changed = Recomprobación: ha cambiado
screen_journal_recheck_mistyped = Recomprobación llamada error al escribir
screen_journal_recheck_same = Recomprobación: no ha cambiado nada
screen_journal_recheck_unclear = Recomprobación: no se pudo saber
screen_journal_retired = Rig retirado
screen_journal_retracted = Deshecho
screen_journal_rig_edited = Rig editado
screen_journal_plan = Inmersión prevista cambiada
screen_journal_lens = Objetivo cambiado: { $name }
screen_journal_rig_made = Rig creado
screen_journal_rings_counted = { $n ->
    [0] Tóricas contadas: no queda ninguna
    [one] Tóricas contadas: queda una
   *[other] Tóricas contadas: quedan { $n }
}
screen_journal_rings_stocked = { $n ->
    [one] Una tórica metida en la caja
   *[other] { $n } tóricas metidas en la caja
}
screen_journal_rings_taken = { $n ->
    [one] Una tórica sacada de la caja
   *[other] { $n } tóricas sacadas de la caja
}
screen_journal_seal_age = Edad de la tórica: { $name }
screen_journal_serviced = Servicio hecho: { $name }
screen_journal_shoot = Rodaje previsto
screen_journal_shoot_days = { $n ->
    [one] Un día, { $day }
   *[other] { $n } días desde { $day }
}
screen_journal_step_done = Paso hecho
screen_journal_step_reopened = Paso reabierto
screen_journal_step_signed = Segunda firma
screen_journal_step_skipped = Paso saltado
screen_journal_title = Diario
screen_journal_unknown = Escrito por una versión más nueva
screen_journal_walk_signed = Firmada la ronda
screen_journal_walked = Ronda hecha al rig cerrado
screen_journal_water = Agua encontrada
screen_journal_hung = Lastres colgados
screen_journal_hung_none = ya no hay { $what }
screen_journal_seen_in_water = Visto en el agua
screen_journal_trimmed = Trimado
screen_journal_water_chosen = Agua del día
screen_journal_hold_imported = Prueba de vacío traída, { $n } lecturas
screen_journal_gauge = Manómetro
screen_journal_gauges_compared = Manómetros comparados
screen_entry_at = { $time }
screen_entry_device = Entrada { $seq } del dispositivo { $device }
screen_entry_forged = Esta entrada no es lo que firmó su dispositivo
screen_entry_apart = Esta entrada no cuenta para nada: este equipo no conoce, o ya no, el teléfono que la escribió
screen_entry_sound = Firmada por su dispositivo y sin cambios desde entonces

# Phones
screen_phones_about_crew = el equipo
screen_phones_about_rig = un rig desconocido aquí
screen_phones_admits_this = Ya conoce este teléfono como de su equipo.
screen_phones_admitted_by = Declarado del equipo: { $who }
screen_phones_again = Vuelve a ser de este equipo
screen_phones_apart = { $n ->
    [one] 1 entrada sobre { $about } no cuenta para nada aquí.
   *[other] { $n } entradas sobre { $about } no cuentan para nada aquí.
}
screen_phones_choice = { $choice }: { $now } → { $then }
screen_phones_code = El código de { $name } para firmar sería otro
screen_phones_code_gone = El código de { $name } para firmar desaparecería
screen_phones_code_new = Viene también el código de { $name } para firmar
screen_phones_compare = Quien tiene ese teléfono ve el mismo código al final de su página del equipo. Compara los dos antes de decir que sí.
screen_phones_dismissed = No es de este equipo
screen_phones_dismissed_by = Lo dijo { $who }
screen_phones_compared = La última comparación del manómetro «{ $name }» con otro sería distinta
screen_phones_disputed = Otro teléfono de este equipo dice que ya no es vuestro, y este dice lo mismo de aquel. Di cuál tiene razón
screen_phones_earlier = Este teléfono, con una clave anterior
screen_phones_entries = { $n ->
    [one] 1 entrada
   *[other] { $n } entradas
}
screen_phones_gauge = El manómetro «{ $name }» cambia
screen_phones_gauge_gone = El manómetro «{ $name }» desaparecería
screen_phones_gauge_new = Viene también el manómetro «{ $name }»
screen_phones_figure = { $rig }: { $what }
screen_phones_rings = { $n ->
    [one] Una clase de tórica de la caja sería otra, o se contaría de otro modo
   *[other] { $n } clases de tórica de la caja serían otras, o se contarían de otro modo
}
screen_phones_if_dismissed = Ya no es vuestro (perdido, vendido, devuelto): lo que escribió hasta ahora vale; lo que escriba desde ahora no cuenta para nada, en cada teléfono del equipo que lo sepa.
screen_phones_join_q = ¿Es este el registro de tu equipo?
screen_phones_join_title = Un registro de otro teléfono
screen_phones_join_yes = Es el registro de nuestro equipo: este teléfono sigue con él
screen_phones_member_left = { $name } ya no estaría en el equipo
screen_phones_member_new = { $name } estaría en el equipo
screen_phones_member_renamed = { $name } se llamaría { $then }
screen_phones_more = { $n ->
    [one] y 1 más de estos
   *[other] y { $n } más de estos
}
screen_phones_nameless = Un teléfono de este equipo
screen_phones_no = No es nuestro: queda aparte y no cuenta para nada
screen_phones_no_more = Ya no es nuestro
screen_phones_lost = { $n ->
    [one] Un teléfono vuestro dejaría de contar: aquel lo excluyó
   *[other] { $n } teléfonos vuestros dejarían de contar: aquel los excluyó
}
screen_phones_not_ready = no está listo
screen_phones_nothing = No cambiaría nada de lo que este teléfono dice ahora.
screen_phones_notice_dismissed = { $n ->
    [one] Un teléfono que no es, o ya no es, de este equipo: 1 entrada sobre { $about } no cuenta para nada. Mírala en la página del equipo.
   *[other] Un teléfono que no es, o ya no es, de este equipo: { $n } entradas sobre { $about } no cuentan para nada. Míralas en la página del equipo.
}
screen_phones_notice_more = { $n ->
    [one] Y 1 teléfono más cuyas entradas no cuentan para nada: ve a la página del equipo.
   *[other] Y { $n } teléfonos más cuyas entradas no cuentan para nada: ve a la página del equipo.
}
screen_phones_notice_this = Otro teléfono del equipo dice que este ya no es del equipo ({ $who }): lo que se anote aquí desde entonces no cuenta allí para nada. Si es un error, dilo en la página del equipo de ese teléfono.
screen_phones_notice_unknown = { $n ->
    [one] Un teléfono que este equipo no conoce: 1 entrada sobre { $about }. No cuenta para nada hasta que un miembro diga en la página del equipo que el teléfono es vuestro.
   *[other] Un teléfono que este equipo no conoce: { $n } entradas sobre { $about }. No cuentan para nada hasta que un miembro diga en la página del equipo que el teléfono es vuestro.
}
screen_phones_of = Teléfono de { $name }
screen_phones_others = { $n ->
    [one] Con él contaría 1 teléfono más, que admitió en su equipo
   *[other] Con él contarían { $n } teléfonos más, que admitió en su equipo
}
screen_phones_procedure = El procedimiento «{ $name }» cambia
screen_phones_procedure_gone = El procedimiento «{ $name }» desaparecería
screen_phones_procedure_new = Viene también el procedimiento «{ $name }»
screen_phones_q = ¿Es este teléfono de este equipo?
screen_phones_ready = listo
screen_phones_renamed = Se llamaría { $then }
screen_phones_rig_more = { $name }: se sabría más de él; { $then }, como ahora
screen_phones_rig_new = { $name }: un rig nuevo, { $then }
screen_phones_rig_turns = { $name }: { $now } → { $then }
screen_phones_role = { $name }: { $now } → { $then }
screen_phones_said_admitted = Lo que escribió cuenta desde ahora.
screen_phones_said_apart = Parte la escribió un teléfono que este equipo no conoce: queda aparte.
screen_phones_said_dismissed = Desde aquí no cuenta para nada.
screen_phones_since = Escribió por primera vez el { $day }
screen_phones_still = Sigue siendo nuestro
screen_phones_new_here = Un teléfono no conocido aquí
screen_phones_then = Si dices que sí:
screen_phones_then_others = Lo mismo ocurre en cada teléfono del equipo que sepa de tu sí.
screen_phones_this = Este teléfono
screen_phones_unknown = Un teléfono que este equipo no conoce
screen_phones_writes_as = Escribe en nombre de «{ $name }».
screen_phones_writes_as_nobody = En lo último que escribió no se nombra a ningún miembro.
screen_phones_yes = Es nuestro: lo que escribió cuenta

# Crew
screen_crew_add_title = Añadir un miembro del equipo
screen_crew_alone = El equipo es una sola persona
screen_crew_choice_common = lo habitual
screen_crew_choice_no = no
screen_crew_choice_other = elegido en una versión más nueva
screen_crew_choice_unit_pressure = Unidad de presión
screen_crew_choice_unit_temperature = Unidad de temperatura
screen_crew_choice_unit_depth = Unidad de profundidad
screen_crew_choice_unit_water = Unidad de agua
screen_crew_choice_unit_weight = Unidad de lastres
screen_crew_choice_error_inside = Error del termómetro interior
screen_crew_choice_error_surface = Error de la sonda sobre la carcasa
screen_crew_choice_error_air = Error del termómetro en el aire
screen_crew_choice_error_barometer = Error del barómetro
screen_crew_choice_unknown = Una elección que esta versión no conoce
screen_crew_choice_yes = sí
screen_crew_alike = Dos llevan este nombre y cuentan como una persona. Si son la misma, dilo en Cambiar. Si son dos, da otro nombre a una
screen_crew_code = Código de { $name }
screen_crew_code_here = Código de este teléfono: { $code }
screen_crew_code_of = Código { $code }
screen_crew_code_hint = Cuatro caracteres o más. Impide que otro firme en este teléfono; no es un secreto que convenga reutilizar: quien tenga el archivo del equipo puede hallar un código corto
screen_crew_code_new = Código nuevo
screen_crew_code_none = Aún ninguno: no puede firmar
screen_crew_code_old = El código hasta ahora
screen_crew_code_set = Puesto
screen_crew_device = Dispositivo { $device }
screen_crew_empty = Aquí estará el equipo. Dos personas firman los pasos que más importan.
screen_crew_name = Nombre
screen_crew_no_name = Un nombre de nadie: no firma nada hasta que se cambie
screen_crew_phone = Este teléfono
screen_crew_phone_nobodys = De nadie: no se puede firmar en él como propio
screen_crew_phone_of = Propio de { $name }
screen_crew_phone_title = ¿Es este teléfono propio de { $name }?
screen_crew_recheck_limit = Una recomprobación vale
screen_crew_recheck_limit_hint = Dos horas si no lo cambias
screen_crew_recheck_limit_label = Minutos
screen_crew_role = Función
screen_crew_said_added = Añadido: { $name }
screen_crew_said_added_second = { $name } está en el equipo. Desde ahora firma un segundo miembro, y ya no una persona sola.
screen_crew_said_changed = Cambiado
screen_crew_said_code = El código está puesto
screen_crew_unit_depth = Profundidad
screen_crew_unit_pressure = Presión
screen_crew_unit_temperature = Temperatura
screen_crew_unit_water = Agua
screen_crew_unit_weight = Lastres
screen_crew_units = Unidades
screen_crew_version = Slackwater { $version }
screen_crew_gauge = Manómetro
screen_crew_gauge_words = { $kind }, en pasos de { $step }
screen_crew_gauge_checked = verificado { $when }
screen_crew_gauge_checked_label = Última verificación
screen_crew_gauge_name = Nombre del manómetro
screen_crew_gauge_accuracy = Puede desviarse
screen_crew_gauge_accuracy_hint = Según su fabricante, en su unidad; en una prueba de vacío se anula
screen_crew_gauge_retired = Fuera de uso
screen_crew_gauges_agree = Concuerda con { $other } ({ $when })
screen_crew_gauges_differ = Difiere { $amount } de { $other }, más de lo que pueden desviarse ambos ({ $when })
screen_crew_language = Idioma de este teléfono
screen_crew_language_hint = No cambia ningún otro teléfono. Nombres, notas y pasos de procedimientos quedan como se escribieron
screen_crew_language_phone = Como esté puesto el teléfono
screen_crew_left = Dejó el equipo
screen_crew_left_hint = Lo que firmó vale; no se le pide nada más
screen_crew_left_q = Dejó el equipo
screen_crew_compare_title = Ambos manómetros en el mismo vacío
screen_crew_compare_this = Un manómetro
screen_crew_compare_that = El otro manómetro
screen_crew_compare_reads = Marca, como vacío
screen_crew_compare_hint = Lee ambos dentro del mismo minuto
screen_crew_errors = Errores que has medido
screen_crew_errors_words = { $n ->
    [0] ninguno: se toma lo habitual
    [one] uno de cuatro
   *[other] { $n } de cuatro
}
screen_crew_errors_hint = Termómetro: cuánto puede distar el gas de lo que marca en un momento. Barómetro: cuánto puede cambiar su error durante una prueba. Cada uno como una desviación típica. Si queda vacío se toma lo habitual: 0,1, 0,3 y 1 K, y 0,15 mbar. En el aire, menos de 1 K no cambia nada: el gas no está más cerca de él.
screen_crew_error_inside = Termómetro interior
screen_crew_error_surface = Sonda sobre la carcasa
screen_crew_error_air = Termómetro en el aire
screen_crew_error_barometer = Barómetro

# Editing a rig
screen_edit_bayonet = Bayoneta o anillo roscado
screen_edit_cable_ends = De { $from } a { $to }
screen_edit_cables = Cables
screen_edit_capacity = Lastres que admite
screen_edit_circle = En círculo
screen_edit_closure = Se mueve al abrir
screen_edit_closure_kind = Lo mantiene cerrado
screen_edit_closures = Cierres
screen_edit_controls = Mandos
screen_edit_displaced = Volumen desplazado
screen_edit_drives = Mandos por engranaje
screen_edit_enclosure = Recinto
screen_edit_enclosures = Recintos
screen_edit_frame = En un marco
screen_edit_from = De
screen_edit_function = Función asignada
screen_edit_hard_days = Bloquea tras días
screen_edit_hard_openings = Bloquea tras aperturas
screen_edit_gland_depth = Profundidad del alojamiento
screen_edit_gland_depth_hint = Ranura y holgura juntas
screen_edit_gland_face = Entre dos caras
screen_edit_gland_kind = Comprime la tórica
screen_edit_gland_of = Alojamiento de { $name }
screen_edit_gland_radial = Alrededor de un cilindro
screen_edit_gland_tol = Cada uno con un margen de
screen_edit_gland_tol_hint = Más y menos
screen_edit_gland_width = Anchura de la ranura
screen_edit_hard_dives = Bloquea tras inmersiones en agua salada
screen_edit_hardness = Dureza
screen_edit_latch = Pestillos
screen_edit_lenses = Objetivos
screen_edit_limit = Límite de fuga, por inmersión
screen_edit_limit_hint = Agua que puede entrar en la inmersión prevista. Si queda vacío: el límite incorporado, { $water } para { $volume } de gas libre, que una prueba de un cuarto de hora puede mostrar. No dice que tanta sea inocua.
screen_edit_list_hint = Varios, con comas entre ellos
screen_edit_mass = Masa en el aire
screen_edit_mass_x = Centro de masa, hacia delante
screen_edit_mass_y = Centro de masa, a la derecha del rig
screen_edit_mass_z = Centro de masa, hacia arriba
screen_edit_name = Nombre
screen_edit_new_cable = Cable nuevo
screen_edit_new_closure = Cierre nuevo
screen_edit_new_control = Mando nuevo
screen_edit_new_enclosure = Recinto nuevo
screen_edit_new_lens = Objetivo nuevo
screen_edit_new_part = Pieza nueva
screen_edit_new_point = Punto de montaje nuevo
screen_edit_new_seal = Junta nueva
screen_edit_new_strip = Elemento nuevo
screen_edit_no_closure = Ninguno
screen_edit_not_known = No se sabe
screen_edit_notice = Lo que se añade aquí se tiene que probar. La versión anterior queda en el diario.
screen_edit_parts = Piezas con masa y volumen
screen_edit_points = Puntos de montaje
screen_edit_rating = Profundidad de diseño
screen_edit_rating_hint = Según su fabricante
screen_edit_reads_plugged = El manómetro lee con el tapón puesto
screen_edit_remove_confirm = ¿Quitar { $name } del rig? Su historia se conserva.
screen_edit_put_back = { $name }, quitado { $when }: volver a ponerlo (por probar)
screen_edit_put_back_confirm = ¿Volver a poner { $name } como estaba cuando se quitó? Su historia sigue, y no cuenta nada de lo que se probó antes: se hace el mantenimiento de sus juntas, se cierra y se prueba al vacío de nuevo, se mira su tapón y se prueban sus mandos.
screen_edit_left_out = No vuelve, porque otra cosa del rig ocupa ya su lugar: { $names }.
screen_edit_said_put_back = Puesto de nuevo; por probar.
screen_edit_rings = Anillos de extensión, de la carcasa hacia fuera
screen_edit_said_kept = Cambiado
screen_edit_said_removed = Quitado del rig
screen_edit_screw_count = Número de tornillos
screen_edit_screw_shape = Los tornillos están
screen_edit_screws = Tornillos
screen_edit_seals = Juntas
screen_edit_seat = Diámetro donde asienta la tórica
screen_edit_seat_hint = Pared interior de una ranura frontal, fondo de una ranura alrededor de un cilindro
screen_edit_soft_days = Avisa tras días
screen_edit_soft_dives = Avisa tras inmersiones en agua salada
screen_edit_soft_openings = Avisa tras aperturas
screen_edit_strip = Lista de desmontaje
screen_edit_to = A
screen_edit_valve = Tiene válvula de vacío
screen_edit_volume = Volumen libre de gas
screen_edit_volume_hint = Con todo dentro de lo que irá dentro
screen_edit_volume_sd = Con un margen de
screen_edit_volume_x = Centro de volumen, hacia delante
screen_edit_volume_y = Centro de volumen, a la derecha del rig
screen_edit_volume_z = Centro de volumen, hacia arriba
screen_edit_weight_count = Cuántos
screen_edit_weight_mass = Masa de uno
screen_edit_weight_volume = Desplaza
screen_edit_weight_volume_hint = Déjalo vacío para plomo. Un flotador desplaza más de lo que pesa.
screen_edit_weights = Caja de lastres
screen_edit_new_weight = Tamaño de lastre nuevo
screen_edit_penetrators = Pasamuros
screen_edit_new_penetrator = Pasamuros nuevo
screen_edit_torque = Par de apriete final según su fabricante
screen_edit_x = Hacia delante
screen_edit_y = A la derecha del rig
screen_edit_z = Hacia arriba
screen_edit_known = La botella contiene
screen_edit_known_hint = Una botella o depósito rígido lleno de aire exterior, con su manguera, abierto al recinto en vacío. No una jeringa: su émbolo se mete.
screen_edit_stroke = Una carrera extrae
screen_edit_strokes = Número de carreras completas
screen_edit_before = Vacío antes
screen_edit_after = Vacío después
screen_edit_after_hint = Cuando el gas haya recuperado la temperatura, unos minutos
screen_edit_said_measured = Volumen libre { $volume }, más o menos { $take }
screen_edit_outer = El recinto cerrado desplaza
screen_edit_outer_hint = De su hoja de datos, o pesado en aire y colgado en agua dulce: la diferencia en kg son litros
screen_edit_walls = Sus paredes, ventana y puerto
screen_edit_walls_hint = Su peso vacío entre la densidad de su material: 2,7 kg por litro para el aluminio
screen_edit_contents = Lo que hay dentro desplaza
screen_edit_contents_hint = Cámara, objetivo, baterías, bandeja: largo por ancho por alto de cada uno, menos lo hueco

screen_edit_mass_sd = Masa con un margen de
screen_edit_mass_sd_hint = Una desviación típica; 1 % de la masa si no dices otra cosa
screen_edit_inside = Encerrado en una carcasa
screen_edit_inside_hint = Una batería, un objetivo: pesa, y no desplaza nada por sí mismo
screen_edit_is_inside = dentro
screen_edit_displaced_hint = De lo estanco, el exterior; de lo que se inunda, el material
screen_edit_displaced_sd = Volumen con un margen de
screen_edit_displaced_sd_hint = Una desviación típica; 2 % del volumen si no dices otra cosa
screen_edit_origin = Desde el punto desde el que mides todo: usa siempre el mismo, como el centro del pie
screen_edit_centre_sd = Ambos centros con un margen de
screen_edit_centre_sd_hint = Una desviación típica; un veinteavo del tamaño de la pieza si no dices otra cosa
screen_edit_foam = Se comprime con la profundidad
screen_edit_foam_none = No: metal, vidrio, una carcasa
screen_edit_foam_soft = Espuma blanda
screen_edit_foam_stiff = Espuma rígida
screen_edit_gas = Gas que contiene, en la superficie
screen_edit_gas_hint = Para espuma blanda: lo habitual es del 80 al 90 %
screen_edit_bulk = Módulo de compresibilidad
screen_edit_bulk_hint = Para espuma rígida, según su fabricante
screen_edit_with_lens = En el rig con { $name }
screen_edit_in_place_of = Montado en lugar de
screen_edit_in_place_of_none = Nada: siempre está ahí
screen_edit_max_mass = Admite como máximo
screen_edit_max_mass_hint = En total, si su fabricante o tu soporte pone un límite
screen_edit_weigh_air = La báscula marca en el aire
screen_edit_weigh_water = Marca con la pieza bajo el agua
screen_edit_weigh_water_hint = Colgada libre, sin burbujas; con el lastre auxiliar si flota
screen_edit_weigh_sinker = El lastre auxiliar solo, bajo el agua
screen_edit_weigh_sinker_hint = Solo si la pieza flota
screen_edit_weigh_scale = La báscula se lee con un margen de
screen_edit_weigh_scale_hint = Una desviación típica; en una báscula de gancho, más que su último dígito
screen_edit_weigh_in = En qué agua
screen_edit_weigh_known = De densidad conocida
screen_edit_weigh_density = Densidad de esa agua
screen_edit_weigh_density_hint = Solo si la conoces
screen_edit_said_weighed = { $mass }, más o menos { $mass_take }; { $volume }, más o menos { $volume_take }
screen_edit_syringe = Aire en la jeringa
screen_edit_syringe_hint = Llena de aire exterior, unida al recinto en vacío: el émbolo entra hasta el final, y con él todo el aire. Lo mejor son unas centésimas del volumen libre.
screen_edit_sure = Si está lejos de lo que ponía
screen_edit_sure_no = pregúntame
screen_edit_sure_yes = Volví a mirar: es correcto

# Waters
screen_water_brackish = Mar salobre
screen_water_cold_sea = Mar frío
screen_water_fresh = Agua dulce
screen_water_planned = Agua de la inmersión prevista
screen_water_pool = Piscina
screen_water_salt_pool = Piscina de cloración salina
screen_water_salty_sea = Mar cerrado muy salado
screen_water_sea = Mar abierto
screen_water_warm_sea = Mar cálido

# Trim
screen_trim_add_at = añadir { $what } en { $points }
screen_trim_add_more = { $what } más
screen_trim_aim_heavy = Pesado por
screen_trim_aim_hint = Menor que cero para un rig que debe subir por sí solo
screen_trim_aim_title = ¿Cuánto debe pesar en el agua?
screen_trim_as_expected = Colgó como se esperaba
screen_trim_as_listed = Todo cuelga según la lista
screen_trim_attitude_unsure = no se puede decir hacia dónde gira
screen_trim_best = Con estos lastres no se consigue nada mejor
screen_trim_by = { $what } por { $amount }
screen_trim_cause_water = agua
screen_trim_cause_weights = lastres
screen_trim_cause_without = sin { $name }
screen_trim_caveat = No se ve aquí: aire atrapado bajo tapas, una carcasa que encoge con la profundidad y el frío, la corriente, el tirón de un cable. Pruébalo primero en aguas someras.
screen_trim_count = Cuántos cuelgan ahí ahora
screen_trim_count_hint = 0 si ninguno
screen_trim_depth = A qué profundidad
screen_trim_depth_hint = Importa para la espuma
screen_trim_lift = Empuje
screen_trim_what_then = Entonces: { $todo }
screen_trim_done = Trimado
screen_trim_down = { $by } hacia abajo
screen_trim_empty_box = La caja de lastres está vacía, y el rig se desvía { $amount }
screen_trim_figure_floats = Flota con
screen_trim_figure_lean = Se inclina a un lado
screen_trim_figure_net = Fuerza neta, hacia arriba
screen_trim_figure_nose = Morro arriba o abajo
screen_trim_figure_nose_down = Morro abajo
screen_trim_figure_nose_up = Morro arriba
screen_trim_figure_left = Se inclina a su izquierda
screen_trim_figure_righting = Se endereza, desde 10°, con
screen_trim_figure_sinks = Pesado por
screen_trim_figure_right = Se inclina a su derecha
screen_trim_floats = flota con { $amount }, más o menos { $take }
screen_trim_forward = { $by } hacia delante
screen_trim_aft = { $by } hacia atrás
screen_trim_from_front = De frente
screen_trim_from_right = Desde su derecha
screen_trim_front = Delante
screen_trim_hang = { $point }: { $what }
screen_trim_hang_title = Qué cuelga ahí ahora
screen_trim_in_place_of = En lugar de { $name }
screen_trim_indifferent = se queda como se gire
screen_trim_instead = { $new } en vez de { $old }
screen_trim_kept_by = Guardado por { $who }
screen_trim_lacking = Un { $name } menos en la caja
screen_trim_lean_unsure = no se puede decir cómo se inclina
screen_trim_leans_left = inclinado { $angle } a su izquierda
screen_trim_leans_right = inclinado { $angle } a su derecha
screen_trim_legend_change = Por cambiar
screen_trim_legend_free = No cuelga nada
screen_trim_legend_hangs = Cuelga como debe
screen_trim_legend_level = Nivelado
screen_trim_legend_lift = Centro de empuje
screen_trim_legend_mass = Centro de masa
screen_trim_limit_both = se podría nivelar un eje u otro, no ambos a la vez
screen_trim_limit_box = la caja está agotada
screen_trim_limit_lever = los lastres no alcanzan: { $most } de los { $needed } N·m necesarios
screen_trim_limit_nothing = nada de la caja tira hacia el otro lado
screen_trim_limit_points = todos los puntos de montaje están llenos
screen_trim_limit_steps = la caja no tiene un paso más fino
screen_trim_measured = Sin trimar desde que { $name } se midió de nuevo
screen_trim_moved_mass = masa { $from } → { $to }
screen_trim_moved_mass_centre = centro de masa { $ways }
screen_trim_moved_volume = volumen { $from } → { $to }
screen_trim_moved_volume_centre = centro de volumen { $ways }
screen_trim_nearer = Cuelga bastante bien. Con los cambios de la lista, { $how }
screen_trim_never = Aún sin trimar
screen_trim_never_but_step = Trimado sin la lista: se hizo «{ $step }» ({ $who })
screen_trim_no_parts = No se puede decir cómo cuelga: no hay en el rig ninguna pieza con masa y volumen
screen_trim_no_point = No hay punto de montaje para un lastre, y el rig se desvía { $amount }
screen_trim_no_water = No se puede decir cómo cuelga en esta agua. { $why }
screen_trim_nose_down = morro { $angle } abajo
screen_trim_nose_level = morro nivelado
screen_trim_nose_up = morro { $angle } arriba
screen_trim_not_proven = La fuerza neta es la mejor; puede haber un modo más nivelado de colgarlo. Con menos tamaños o puntos se sabría.
screen_trim_nothing_to_change = nada que cambiar
screen_trim_now = Ahora { $how }
screen_trim_other_parts = Trimado con otras piezas u otro objetivo que los de ahora
screen_trim_other_water_denser = Trimado para agua menos densa que la del día: flotará más
screen_trim_other_water_thinner = Trimado para agua más densa que la del día: pesará más
screen_trim_other_weights = Cuelgan otros lastres que cuando se trimó
screen_trim_outdated = Ya no enseña nada: { $name } se midió de nuevo o no está
screen_trim_point = Punto de montaje
screen_trim_its_left = Su izquierda
screen_trim_rear = Detrás
screen_trim_said_aim = Cambiado
screen_trim_said_all = Todo cuelga
screen_trim_said_fitted = Montado: { $name }
screen_trim_said_hung = { $point }: cuelga { $what }
screen_trim_said_kept = Trimado guardado
screen_trim_said_learnt = Aprendido de ello
screen_trim_said_none = { $point }: sin { $what }
screen_trim_said_taken_back = Deshecho, con lo que enseñó
screen_trim_said_taken_off = Quitado: { $name }
screen_trim_said_water = { $water }
screen_trim_salinity = Salinidad, si la mediste
screen_trim_salinity_hint = Salinidad práctica, sin unidad; 35 en mar abierto
screen_trim_seen_amount = Cuánto
screen_trim_seen_amount_hint = Si lo sabes: lo que hubo que añadir o quitar para que se quedara quieto
screen_trim_seen_degrees = Cuánto, más o menos
screen_trim_seen_floated = Subió
screen_trim_seen_level = Nivelado
screen_trim_seen_net = Al soltarlo
screen_trim_seen_no_lean = No se inclinó
screen_trim_seen_nose_down = Morro abajo
screen_trim_seen_nose_level = Morro nivelado
screen_trim_seen_nose_up = Morro arriba
screen_trim_seen_not = No se miró
screen_trim_seen_pitch = El morro
screen_trim_seen_roll = Se inclinó
screen_trim_seen_sank = Se hundió
screen_trim_seen_stayed = Se quedó donde estaba
screen_trim_seen_title = ¿Cómo colgó, con lo que cuelga ahora?
screen_trim_seen_to_left = A su izquierda
screen_trim_seen_to_right = A su derecha
screen_trim_setting = { $water }
screen_trim_setting_lens = { $water }, { $lens }
screen_trim_sinks = pesa { $amount }, más o menos { $take }
screen_trim_its_right = Su derecha
screen_trim_step_since = { $why }. Desde entonces se hizo «{ $step }» ({ $who })
screen_trim_still_nose_down = Aún { $angle } de morro abajo
screen_trim_still_nose_up = Aún { $angle } de morro arriba
screen_trim_still_left = Aún inclinado { $angle } a su izquierda
screen_trim_still_right = Aún inclinado { $angle } a su derecha
screen_trim_stray = Cuelga { $what } en { $point }, que ya no está en el rig: no se cuenta
screen_trim_surprising = Está lejos de lo esperado. Busca algo olvidado: una pieza, aire atrapado, un lastre en otro lugar.
screen_trim_take_at = quitar { $what } de { $points }
screen_trim_take_back_confirm = ¿Deshacer esto y lo que enseñó sobre las piezas?
screen_trim_take_off = { $point }: quitar { $what }
screen_trim_take_some = Quitar { $what }
screen_trim_temperature = Temperatura, si la mediste
screen_trim_temperature_hint = A la profundidad que importa
screen_trim_then = Con todo ello, { $how }
screen_trim_to_do = { $n ->
    [one] Un lastre por cambiar
   *[other] { $n } lastres por cambiar
}
screen_trim_to_left = { $by } a su izquierda
screen_trim_to_right = { $by } a su derecha
screen_trim_too_heavy = En el mejor caso aún pesa { $amount } de más
screen_trim_too_large = Hay demasiados modos de colgar estos lastres. Con menos tamaños, o menos puntos, se puede calcular.
screen_trim_too_light = En el mejor caso aún flota { $amount } de más
screen_trim_unknown = no se sabe
screen_trim_up = { $by } hacia arriba
screen_trim_water = Agua
screen_trim_water_title = El agua del día
screen_trim_water_words = { $name }, { $temperature }, a { $depth }
screen_trim_weigh = Para más certeza, pesa { $name } en aire y en agua: de más o menos { $now } pasa a { $after }
screen_trim_weight = Lastre
screen_trim_with = Con { $name }

# For a screen reader
a11y_trim_above = por encima
a11y_trim_at = { $across } hacia { $side } y { $along } { $height } del centro de masa
a11y_trim_below = por debajo
a11y_trim_lift = Centro de empuje { $where }
a11y_trim_nothing = nada
a11y_trim_point = { $number }, { $name }: { $what } ({ $where })
a11y_hold_chart = Vacío en { $unit } a temperatura y barómetro constantes. Lecturas: { $readings }. Ajustado al final: { $fit }, entre { $low } y { $high }. Una fuga en el límite estaría en { $limit }.

# The shell's own words
shell_back = Atrás
shell_undo = Deshacer
shell_no = No, dejarlo
shell_again = Reintentar
shell_older = Entradas anteriores
shell_choose_other = Elegir otro
shell_choose_photo = Elegir una foto de este teléfono
shell_no_camera = Ninguna aplicación de cámara responde en este teléfono. Haz la foto de otro modo y elígela entre las de este teléfono.
shell_bringing = Entrando: { $percent } %
shell_give_up = Abandonar
shell_file_unreadable = Ese archivo no se puede leer: la aplicación que lo tiene no lo entrega (o ya no). Elígelo de nuevo, o desde otro lugar.
shell_add_photo = Añadir una foto
shell_photo_note = Nota en la foto
shell_keep_photo = Guardar la foto
shell_drop_photo = Descartar la foto
shell_light_title = Pantalla
shell_light_day = Día
shell_light_sun = Pleno sol
shell_light_night = Noche

shell_recheck_title = Recomprobación en cubierta
shell_seals_title = Juntas
shell_trim_title = Trimado
shell_trim_list = Qué colgar
shell_trim_swaps = Montado
shell_trim_lessons = Aprendido en el agua
shell_trim_what_ifs = Y si…
shell_crew_title = Equipo
shell_hold_title = Prueba de vacío
shell_enclosures = Recintos
shell_defects = Defectos
shell_procedures = Preparaciones y procedimientos
shell_plan = Plan
shell_controls = Mandos
shell_pad_close = Guardar las teclas
shell_pad_delete = Borrar un dígito
shell_photos = Fotos
shell_more = Más
shell_retired = Retirado
shell_readings = Lecturas
shell_figures = Cifras
shell_history = Historial
shell_to_pack = Para llevar
shell_falls_due = Vence
shell_members = Miembros
shell_choices = Límites y unidades
shell_about = Acerca de
shell_steps = Todos los pasos
shell_record = Como se anotó
shell_air = Aire en cubierta

# First start, help, about; the map of the rig; the day on which a seal is due
action_about_page = Sobre esta página
action_begin = Empezar: di quién eres
action_begin_later = Dejar el rig para más tarde
action_begin_no_gauge = Seguir sin anotar un manómetro
action_begin_save = Guardar y seguir
action_begin_to_gauge = Seguir con el manómetro
action_begin_to_rig = Seguir con el primer rig
action_begin_to_rigs = Ir a los rigs
screen_about_and_more = { $first } y { $n } más
screen_about_caution = El buceo, los rigs pesados, la presión y las baterías pueden herir a personas. El manual del fabricante, las normas locales y la práctica habilitada van por delante de lo que se diga aquí.
screen_about_inside = Lo que hay dentro
screen_about_licences = Licencias
screen_about_own = Slackwater mismo
screen_about_parts = { $n ->
    [one] { $n } componente con su licencia
   *[other] { $n } componentes, cada uno con su licencia
}
screen_about_title = Sobre Slackwater
screen_about_what = Para el equipo que cierra una cámara de cine en una carcasa submarina, prueba que es estanca y la trima. Funciona sin cobertura; el registro se queda en los teléfonos del equipo.
screen_help_caution = Una batería inundada expulsa gases y arde, una carcasa puede guardar presión y lanzar su puerto al abrirse, y los rigs pesan. Primero van el manual del fabricante, las normas locales y la práctica habilitada.
screen_help_what = Qué pregunta
screen_help_why = Por qué
screen_help_wrong = Qué puede salir mal
screen_start_gauge = ¿Qué manómetro lees?
screen_start_gauge_why = Su unidad, desde dónde cuenta y su paso más fino están en la esfera. Con ellos se juzga una prueba de vacío, y un descuido se nota antes. Cada prueba vuelve a pedir un manómetro, así que puede esperar.
screen_start_more = Dos o más: otro miembro firma lo que más importa
screen_start_place = Primer inicio, { $n } de 3
screen_start_rig = ¿Qué rig montas?
screen_start_rig_why = Parte de lo más parecido y cambia después sus carcasas, juntas y límites por lo que tienes delante. Una junta que no está en la lista no se pide. Nada queda probado con ello: el rig empieza desmontado.
screen_start_who = ¿Quién eres?
screen_start_who_why = Todo lo que se anota lleva el nombre de quien tiene el teléfono.
screen_start_with = Quién prepara contigo
screen_map_open = abierto
screen_map_plug = Tapón
screen_map_plug_out = fuera
screen_map_said = { $name }, { $of }: { $how }
screen_map_said_whole = { $name }: { $how }
screen_map_spoken = { $n ->
    [0] { $name } visto de lado: todo en su sitio
   *[other] { $name } visto de lado. { $what }
}
screen_seals_due = Una tórica nueva hacia el { $day }
screen_seals_due_in_shoot = Una tórica nueva hacia el { $day }, antes de que acabe el rodaje: móntala antes
screen_seals_next_on = Lo primero que vence: { $name }, hacia el { $day }
screen_box_rings_old = { $n ->
    [0] Ninguna tórica que montar
    [one] Una tórica que montar
   *[other] { $n } tóricas que montar
}, { $old } demasiado viejas
help_about_what = Qué es este programa, qué versión es y bajo qué licencias están él y lo que lleva dentro.
help_about_why = Para contar qué salió mal hace falta la versión. Las licencias piden que se muestren.
help_about_wrong = Un programa puede equivocarse y solo sabe lo que se le dice: nada de lo que dice sustituye a mirar. Lo que la aplicación de este teléfono trae además del núcleo no está en la lista.
help_crew_what = Quién está en el equipo, quién tiene el teléfono y qué ha elegido el equipo: límites, unidades, manómetros, teléfonos.
help_crew_why = Los nombres firman, y todo lo que se anota lleva el nombre de quien tiene el teléfono. Las recomprobaciones se juzgan con los límites que se eligen aquí.
help_crew_wrong = Un teléfono que se prestó sin pasar el relevo anota con el nombre equivocado. Un límite más largo deja que cuente una recomprobación vieja. Antes de admitir un teléfono, compara su código con el que ese teléfono muestra.
help_days_what = Qué pasó cada día, y por quién.
help_days_why = Una prueba con sus lecturas, una preparación con sus pasos, una inmersión, una revisión de juntas: cada una es una línea, y cada entrada suya está a un toque.
help_days_wrong = Mostrado solo en parte, el diario parece más vacío de lo que está: la página dice a qué se ha recortado. Lo que anotó otro teléfono solo está aquí cuando ha entrado su archivo.
help_entry_what = Qué se anotó aquí, por quién y en qué teléfono.
help_entry_why = Está como se escribió, firmado por ese teléfono. Una corrección es otra entrada.
help_entry_wrong = La firma prueba el teléfono, no la mano que lo tenía. Un reloj mal puesto fecha mal una entrada.
help_hold_setup_what = Qué marca ahora el manómetro, cuál es y qué hay encerrado con el aire.
help_hold_setup_why = No solo una fuga mueve un manómetro: el calor, el barómetro, una cámara que funcionó, desecante fresco, humedad. El veredicto deja margen para lo que pueda ser.
help_hold_setup_wrong = Otra clase de manómetro, otra unidad, una temperatura tomada en otro sitio. Un vacío demasiado hondo fuerza puertos y cierres: nunca más allá de lo que permite el fabricante.
help_hold_what = ¿Es estanco, y cuánto tengo que esperar todavía?
help_hold_why = Las lecturas a lo largo del tiempo distinguen una fuga del asentamiento y del calor. El límite es el del equipo, en agua que entraría en la inmersión prevista.
help_hold_wrong = El sol, el viento, una mano caliente o una cámara encendida mueven el manómetro. En minutos no se ve una fuga pequeña: la página dice qué pudo pasar por alto esta prueba. Un vacío prueba las juntas a una fracción de atmósfera y desde el otro lado; no puede probarlas en profundidad.
help_journal_what = Cada entrada, una por una, la más nueva primero.
help_journal_why = La producción, el seguro y la casa de alquiler preguntan qué se hizo, cuándo y por quién. Aquí no se cambia ni se borra nada.
help_journal_wrong = Lo que nadie anotó no está. Lo que anotó otro teléfono solo está aquí cuando ha entrado su archivo.
help_photo_what = Qué muestra la foto y a qué pertenece.
help_photo_why = Dice más que una marca, también un año después. El original queda como se tomó.
help_photo_wrong = Muestra lo que había ante el objetivo, no cómo quedó la tórica al cerrar la carcasa. Un archivo puede faltar o estar dañado: la página lo dice, y la entrada sigue en pie.
help_prep_what = ¿Qué hago ahora, y cómo sé que está bien?
help_prep_why = Un orden fijo evita que dos personas que se interrumpen dejen algo sin hacer. Lo que más importa lo mira también una segunda persona.
help_prep_wrong = Marcado de memoria, un paso no dice nada. Un pelo en una tórica, una correa en un cierre, un tapón que quedó fuera: cada uno inunda un rig.
help_recheck_what = ¿Ha cambiado algo desde que se probó el rig?
help_recheck_why = Lo que el manómetro debería marcar ahora se deduce de la prueba, la temperatura y el barómetro. Una lectura más alejada, hacia arriba o hacia abajo, es un cambio.
help_recheck_wrong = Leído en otra carcasa, o escrito para que encaje, el número no dice nada. A un cambio se responde con otra prueba, no escribiéndolo por segunda vez. Un tapón que quedó fuera tras la lectura inunda el rig.
help_rig_edit_what = De qué está hecho el rig: carcasas, juntas, cierres, mandos, piezas y sus límites.
help_rig_edit_why = Con ello se juzgan las pruebas de vacío, las revisiones y el trimado.
help_rig_edit_wrong = Una junta que no está en la lista no se pide. Un volumen demasiado pequeño hace parecer menor una fuga. Pies escritos como metros triplican la profundidad de diseño. Toma las cifras de los papeles del fabricante.
help_rig_what = ¿Puede entrar en el agua ahora? Si no, ¿qué lo impide?
help_rig_why = La respuesta se deduce cada vez de lo que se anotó, y nunca se pone a mano. Abrir una carcasa le quita su prueba, su recomprobación y sus ensayos de mandos.
help_rig_wrong = Lo que nadie anotó no se sabe aquí: una apertura, una inmersión, un golpe. Listo quiere decir que se hizo todo lo que se pedía y que nada habla en contra. No quiere decir que nada pueda fallar en profundidad.
help_rigs_what = ¿Qué rig, y puede entrar en el agua?
help_rigs_why = Cada rig dice cómo está ahora; el primero que se sumerge va primero.
help_rigs_wrong = Los nombres parecidos se confunden en cubierta. Lo que anotó otro teléfono solo cuenta aquí cuando ha entrado su archivo.
help_ring_box_what = Qué tóricas hay en la caja del equipo, y cuántas de cada una.
help_ring_box_why = De aquí sale una tórica nueva, y con esto se compara lo que se lleva a un rodaje.
help_ring_box_wrong = Las tóricas también envejecen en la caja. Un lote anotado con la medida o el material equivocados sale mal en cada rig que toma de él.
help_seal_what = Cómo está esta tórica: su medida, su edad, qué se le hizo y qué espera.
help_seal_why = Una tórica se juzga por los días, aperturas e inmersiones desde que se montó, y por si se movió desde la última vez que se miró.
help_seal_wrong = Una tórica de otra medida o material, o una grasa que la hincha, sella hoy y falla después. Donde el manual del fabricante dice menos que los límites de aquí, vale lo menor.
help_seals_what = ¿Qué tórica toca ahora, y por qué?
help_seals_why = Las tóricas envejecen por días, aperturas e inmersiones. Una que se movió se mira, se limpia y se engrasa antes de volver a sellar.
help_seals_wrong = Una tórica pasada de su límite duro impide que el rig esté listo. Los límites son del equipo: donde el manual del fabricante dice menos, vale lo menor.
help_service_what = ¿Qué ves en la tórica y en su ranura? Una cosa cada vez.
help_service_why = Pelos, arena, muescas y una tórica seca o retorcida dejan entrar agua. Lo que se encontró queda en el registro.
help_service_wrong = Una muesca no se quita limpiando: monta una tórica nueva. Una herramienta afilada raya la ranura. La grasa gruesa retiene arena, y una grasa que no va con la tórica la hincha. Un pelo puede aguantar el vacío y perder en el agua.
help_spares_what = ¿Qué tóricas vencen durante el rodaje previsto, y cuáles llevar?
help_spares_why = Se calcula con los días, aperturas e inmersiones del plan.
help_spares_wrong = Un plan más corto que el rodaje te deja sin una tórica. Las muescas llegan sin plan: lleva además una por cada junta.
help_start_what = Quién eres, qué manómetro lees y qué rig montas: una vez, en un teléfono nuevo.
help_start_why = Cada entrada lleva un nombre, cada prueba se lee en un manómetro, cada comprobación es de un rig.
help_start_wrong = Si tu equipo ya tiene un registro, únete con su archivo y no fundes otro. Una persona con dos nombres podría firmar dos veces sin que mirase nadie más.
help_trim_what = ¿Qué cuelgo y dónde, para que el rig quede nivelado y un poco pesado?
help_trim_why = Se calcula con lo que cada pieza pesa y desplaza, y con el agua del día.
help_trim_wrong = Lo que era neutro en la piscina sube en el mar. Una pieza que no se pesó es una suposición. Un rig que se hunde o sube solo arrastra a un buceador: pruébalo primero en agua somera.

# Dibujar sobre una foto
action_draw_over = Dibujar encima
action_sketch_arrow = Una flecha
action_sketch_ring = Un aro alrededor
action_sketch_words = Una palabra al lado
action_sketch_bare = La foto tal como se hizo
action_sketch_done = Terminar el dibujo
action_sketch_draw = Dibujar
action_sketch_place = Luego toca dónde va
action_sketch_take_back = Retirarlo
error_sketch_small = Nadie lo vería: arrastra más lejos o escribe una palabra
error_sketch_outside = Eso no está sobre la foto
error_sketch_full = Hay 40 marcas sobre esta foto: retira una primero
error_sketch_gone = Esa marca ya no está
error_sketch_words_long = Sobre una foto caben como mucho 40 caracteres
screen_sketch_title = Dibujo sobre una foto
screen_sketch_ask_arrow = Toca donde empieza la flecha y luego lo que señala. O arrastra de lo uno a lo otro
screen_sketch_ask_ring = Toca dos esquinas de lo que el aro rodea. O arrastra de una a otra
screen_sketch_ask_words = ¿Qué palabra?
screen_sketch_place = Toca dónde empieza «{ $text }»
screen_sketch_bare = La foto tal como se hizo
screen_sketch_broken = Aquí no hay imagen sobre la que dibujar
screen_sketch_arrow = Flecha
screen_sketch_ring = Aro
screen_sketch_quoted = «{ $text }»
screen_sketch_drawn = Dibujado encima
screen_sketch_take_back_confirm = ¿Retirar esta marca? Que se dibujó queda en el diario.
screen_sketch_said = Dibujado
screen_sketch_text = Una o dos palabras
screen_sketch_from_x = Desde, del ancho
screen_sketch_from_y = Desde, del alto
screen_sketch_to_x = Hasta, del ancho
screen_sketch_to_y = Hasta, del alto
screen_journal_photo_marked = Dibujado sobre una foto
help_sketch_what = Qué de la foto se señala: una flecha, un aro, una palabra.
help_sketch_why = Un pelo en una tórica se vuelve a encontrar en un segundo. Lo dibujado se guarda junto a la foto; la foto misma queda como se hizo.
help_sketch_wrong = Una marca tapa lo que hay debajo: mira también la foto sin ella. Lo que se entrega es la foto, sin lo dibujado.

# Puntos de montaje del trimado
action_one_more = Uno más
action_one_less = Uno menos
screen_trim_point_free = Aquí no cuelga nada
screen_trim_here_and_left = { $here } aquí, { $left } quedan en la caja
screen_trim_box_empty = En la caja no queda ninguno de este tamaño
screen_trim_none_here = Aquí no cuelga ninguno de este tamaño
shell_trim_points = Puntos de montaje
screen_trim_point_full = En este punto no caben más piezas
