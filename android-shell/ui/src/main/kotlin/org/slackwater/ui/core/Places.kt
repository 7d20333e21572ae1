package org.slackwater.ui.core

import org.slackwater.core.Place

/** The form or list a place shows alone, if any. */
val Place.form: String?
    get() = when (this) {
        is Place.Rigs -> form
        is Place.Rig -> form
        is Place.Prep -> form
        is Place.Hold -> form
        is Place.Seal -> form
        is Place.Crew -> form
        is Place.RigEdit -> part
        is Place.HoldSetup, is Place.Recheck, is Place.Seals, is Place.Journal, is Place.Entry, is Place.Photo -> null
    }

/** Writes a place as plain texts, so that the phone can keep it while the app is not running. */
fun Place.written(): List<String?> = when (this) {
    is Place.Rigs -> listOf("rigs", form)
    is Place.Rig -> listOf("rig", rig, form)
    is Place.RigEdit -> listOf("edit", rig, part)
    is Place.Prep -> listOf("prep", prep, step, form)
    is Place.HoldSetup -> listOf("setup", rig, enclosure)
    is Place.Hold -> listOf("hold", hold, form)
    is Place.Recheck -> listOf("recheck", rig)
    is Place.Seals -> listOf("seals", rig)
    is Place.Seal -> listOf("seal", rig, seal, form)
    is Place.Journal -> listOf("journal", rig, before)
    is Place.Entry -> listOf("entry", event)
    is Place.Photo -> listOf("photo", photo)
    is Place.Crew -> listOf("crew", form)
}

/** Reads what [written] wrote; null for anything else, such as what a newer program left. */
fun readPlace(texts: List<String?>): Place? {
    fun at(i: Int): String? = texts.getOrNull(i)
    fun must(i: Int): String = at(i) ?: throw IllegalArgumentException()
    return try {
        when (at(0)) {
            "rigs" -> Place.Rigs(at(1))
            "rig" -> Place.Rig(must(1), at(2))
            "edit" -> Place.RigEdit(must(1), at(2))
            "prep" -> Place.Prep(must(1), at(2), at(3))
            "setup" -> Place.HoldSetup(must(1), must(2))
            "hold" -> Place.Hold(must(1), at(2))
            "recheck" -> Place.Recheck(must(1))
            "seals" -> Place.Seals(must(1))
            "seal" -> Place.Seal(must(1), must(2), at(3))
            "journal" -> Place.Journal(at(1), at(2))
            "entry" -> Place.Entry(must(1))
            "photo" -> Place.Photo(must(1))
            "crew" -> Place.Crew(at(1))
            else -> null
        }
    } catch (_: IllegalArgumentException) {
        null
    }
}

/** The stack after going to [go]. The rules of moving stand here and nowhere else. */
fun moved(stack: List<Place>, leave: Boolean, go: Place?): List<Place> {
    var next = if (leave) stack.dropLast(1) else stack
    if (go != null) {
        val seen = next.indexOf(go)
        val top = next.lastOrNull()
        next = when {
            // Back where one was: what was opened since is closed.
            seen >= 0 -> next.take(seen + 1)
            // The next step of the same prep takes the place of the last, so Back leaves the prep.
            top is Place.Prep && go is Place.Prep && top.prep == go.prep && top.form == null && go.form == null ->
                next.dropLast(1) + go
            else -> next + go
        }
    }
    return next.ifEmpty { listOf(Place.Rigs(null)) }
}
