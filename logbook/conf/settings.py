"""Django settings of the site. Each value an installer may set is in the table of README.md."""

from __future__ import annotations

from csp.constants import NONE, SELF

from logbook.common import logs
from logbook.conf.environment import (
    ROOT,
    data_folder,
    database,
    env,
    evidence_storage,
    log_format,
    log_level,
    metrics_token,
    positive,
    public_url,
    secret_key,
    switch,
    time_zone,
)

BASE_DIR = ROOT
LOGBOOK_DATA = data_folder()
SECRET_KEY = secret_key(LOGBOOK_DATA)
DEBUG = switch("LOGBOOK_DEBUG", default=False)
ALLOWED_HOSTS = env.list("LOGBOOK_ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = env.list("LOGBOOK_TRUSTED_ORIGINS", default=[])
LOGBOOK_BEHIND_TLS = switch("LOGBOOK_BEHIND_TLS", default=False)
LOGBOOK_PUBLIC_URL = public_url()

DATABASES = {"default": database(LOGBOOK_DATA)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "rest_framework",
    "rest_framework_api_key",
    "drf_spectacular",
    "logbook.common",
    "logbook.accounts",
    "logbook.projects",
    "logbook.boards",
    "logbook.evidence",
    "logbook.calculations",
    "logbook.bench",
    "logbook.findings",
    "logbook.lessons",
    "logbook.planning",
    "logbook.recall",
    "logbook.web",
    "api",
]

MIDDLEWARE = [
    "logbook.common.middleware.RequestRecordMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "csp.middleware.CSPMiddleware",
    "logbook.web.middleware.DomainErrorMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "logbook.conf.urls"
WSGI_APPLICATION = "logbook.conf.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
            "builtins": ["logbook.web.templatetags.logbook"],
        },
    }
]

AUTH_USER_MODEL = "accounts.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "project-list"
LOGOUT_REDIRECT_URL = "sign-in"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "account/locked.html"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = time_zone()

STATIC_URL = "/static/"
STATIC_ROOT = LOGBOOK_DATA / "static"
STATIC_ROOT.mkdir(exist_ok=True)
WHITENOISE_USE_FINDERS = True
WHITENOISE_KEEP_ONLY_HASHED_FILES = False

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = LOGBOOK_BEHIND_TLS
SESSION_COOKIE_HTTPONLY = True
if LOGBOOK_BEHIND_TLS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 31_536_000
DATA_UPLOAD_MAX_MEMORY_SIZE = 32 * 1024 * 1024
LOGBOOK_MAX_UPLOAD_MB = positive("LOGBOOK_MAX_UPLOAD_MB", default=100)

LOGBOOK_EVIDENCE_STORAGE = evidence_storage()
LOGBOOK_EVIDENCE_ENDPOINT = env.str("LOGBOOK_EVIDENCE_ENDPOINT", default="")

LOGBOOK_JOB_RUNNER = switch("LOGBOOK_JOB_RUNNER", default=True)
LOGBOOK_JOB_LEASE_S = positive("LOGBOOK_JOB_LEASE_S", default=120)
CELERY_BROKER_URL = env.str("CELERY_BROKER_URL", default="")
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_TIMEOUT = 2
LOGBOOK_METRICS_TOKEN = metrics_token()

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["api.authentication.TokenAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["api.permissions.HasScope"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["api.parsers.DecimalJSONParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "api.errors.problem_response",
    "UNAUTHENTICATED_USER": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Board Logbook",
    "DESCRIPTION": "Readings, verdicts, coverage and open risks of hardware revisions.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": [],
    "SERVE_AUTHENTICATION": [],
    "COMPONENT_SPLIT_REQUEST": True,
    # Fields called kind or state mean different words in different resources.
    "ENUM_NAME_OVERRIDES": {
        "ProjectState": "logbook.projects.choices.ProjectState",
        "SubsystemKind": "logbook.projects.choices.SubsystemKind",
        "ChangeKind": "logbook.projects.choices.ChangeKind",
        "ChangeState": "logbook.projects.choices.ChangeState",
        "BoardState": "logbook.boards.choices.BoardState",
        "ReworkKind": "logbook.boards.choices.ReworkKind",
        "TargetKind": "logbook.bench.choices.TargetKind",
        "Basis": "logbook.bench.choices.Basis",
        "BasisOfTemplate": ["standard", "judgement"],
        "CalibrationResult": "logbook.bench.choices.CalibrationResult",
        "FindingState": "logbook.findings.choices.STATES",
        "Decision": "logbook.planning.choices.DECISIONS",
        "OrderDecision": "logbook.planning.choices.OrderDecision",
        "QuestionAnswer": "logbook.planning.choices.QuestionAnswer",
        "OptionDecision": ["decided", "left open"],
        "Firmness": "logbook.lessons.choices.Firmness",
        "LessonState": "logbook.lessons.choices.LessonState",
        "LessonAnswer": "logbook.lessons.choices.AnswerWord",
        "AnswerOrNone": ["heeded", "not applicable", "overruled", "to do", "unanswered"],
        "EvidenceKind": "logbook.evidence.choices.EvidenceKind",
        "AnalysisState": "logbook.evidence.choices.AnalysisState",
    },
}

LOGGING = logs.configuration(log_format(), log_level())
