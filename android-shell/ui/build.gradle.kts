plugins {
    alias(libs.plugins.android.library)
    alias(libs.plugins.kotlin.compose)
}

android {
    namespace = "org.slackwater.ui"
    compileSdk = libs.versions.targetSdk.get().toInt()
    defaultConfig { minSdk = libs.versions.minSdk.get().toInt() }
    compileOptions {
        sourceCompatibility = JavaVersion.toVersion(libs.versions.jvmTarget.get())
        targetCompatibility = JavaVersion.toVersion(libs.versions.jvmTarget.get())
    }
    buildFeatures { compose = true }
    sourceSets["main"]
        .kotlin
        .srcDirs(
            "src/main/kotlin",
            // Written by `cargo xtask bindings`, which comes before Gradle.
            "../../bindings/kotlin/src/generated/kotlin",
        )
}

dependencies {
    api(libs.compose.ui)
    api(libs.compose.foundation)
    api(libs.compose.material3)
    api(libs.coroutines.android)
    implementation(libs.jna) { artifact { type = "aar" } }
}
