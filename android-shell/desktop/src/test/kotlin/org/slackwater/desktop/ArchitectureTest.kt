package org.slackwater.desktop

import java.io.File
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test

/** What each folder may use. The rules read the sources; a wrong sample proves that each can fail. */
class ArchitectureTest {
    private class Rule(val why: String, val applies: (String) -> Boolean, val forbidden: List<Regex>)

    private val rules =
        listOf(
            Rule(
                "ui holds only what Android has too",
                { true },
                listOf(
                    Regex(
                        """\b(java\.awt|javax\.swing|org\.jetbrains\.(skia|skiko)|org\.slackwater\.(desktop|app))\b"""
                    ),
                    Regex("""import androidx\.compose\.(ui\.window|ui\.awt|desktop|ui\.res)\b"""),
                    Regex("""import (android|androidx\.activity|androidx\.core)\."""),
                    Regex("""androidx\.compose\.ui\.text\.platform"""),
                ),
            ),
            Rule(
                "ui is layout: it reads no files, clocks or random numbers",
                { true },
                listOf(
                    Regex("""\b(java\.io|java\.nio|java\.net|java\.time|java\.util\.Date|kotlin\.random|System\.)""")
                ),
            ),
            Rule(
                "outside design no raw colour, text, field or drawing",
                { "/design/" !in it },
                listOf(
                    Regex("""import androidx\.compose\.material3?\."""),
                    Regex("""import androidx\.compose\.ui\.graphics\.(?!ImageBitmap\b)"""),
                    Regex("""import androidx\.compose\.ui\.text\.(?!font\.FontFamily\b)"""),
                    Regex(
                        """import androidx\.compose\.foundation\.""" +
                            """(text|Canvas|border|background|clickable|selection|gestures)\b"""
                    ),
                    Regex("""\bColor\("""),
                    Regex("""unit\.sp\b"""),
                ),
            ),
            Rule(
                "nothing is reached only by swipe or long press",
                { true },
                listOf(
                    Regex("""combinedClickable|SwipeToDismiss|onLongClick|detectDragGestures|AlertDialog|Snackbar""")
                ),
            ),
        )

    private fun problems(path: String, text: String): List<String> {
        val code =
            text.lines().filterNot {
                it.trimStart().let { l -> l.startsWith("*") || l.startsWith("/**") || l.startsWith("//") }
            }
        return rules
            .filter { it.applies(path) }
            .flatMap { rule ->
                rule.forbidden.flatMap { bad ->
                    code.filter { bad.containsMatchIn(it) }.map { "$path: ${rule.why}: ${it.trim()}" }
                }
            }
    }

    private val root = File(requireNotNull(System.getProperty("slackwater.shell")) { "slackwater.shell is not set" })
    private val sources = File(root, "ui/src/main/kotlin").walk().filter { it.extension == "kt" }.toList()

    @Test
    fun uiKeepsTheRules() {
        assertTrue("only ${sources.size} files found under $root", sources.size >= 8)
        val found = sources.flatMap { problems(it.path.replace('\\', '/'), it.readText()) }
        assertTrue(found.joinToString("\n"), found.isEmpty())
    }

    @Test
    fun aWrongSampleFailsEachRule() {
        val sample =
            """
            import java.awt.Desktop
            import androidx.compose.material3.Text
            val bad = Color(0xFF00FF00)
            val now = System.currentTimeMillis()
            AlertDialog(onDismissRequest = {}) {}
            """
                .trimIndent()
        val whys = rules.map { it.why }.filter { why -> problems("ui/screens/Bad.kt", sample).any { why in it } }
        assertEquals(rules.map { it.why }, whys)
        assertEquals(emptyList<String>(), problems("ui/design/Good.kt", "import androidx.compose.material3.Text"))
        assertEquals(emptyList<String>(), problems("ui/screens/Good.kt", "// java.awt is named in a comment only"))
    }

    @Test
    fun packagesFollowFolders() {
        for (file in sources) {
            val folder = file.parentFile.path.replace('\\', '/').substringAfter("/kotlin/").replace('/', '.')
            assertTrue("${file.name} is not in package $folder", file.readLines().any { it == "package $folder" })
        }
    }
}
