// Kotlin is compiled by the Android plugin itself, which brings an older release than ours.
buildscript { dependencies { classpath(libs.kotlin.gradle.plugin) } }

plugins {
    alias(libs.plugins.android.application) apply false
    alias(libs.plugins.android.library) apply false
    alias(libs.plugins.kotlin.compose) apply false
}
