"""Addresses of version 1."""

from django.urls import path
from drf_spectacular.views import SpectacularAPIView

from api.v1 import (
    bench_plan,
    bench_sessions,
    boards,
    check_templates,
    derived,
    evidence,
    instruments,
    measurements,
    options,
    projects,
    revisions,
    reworks,
    saved_calculations,
    subsystems,
    target_samples,
    targets,
)
from api.v1.calculations import parts, samples, signal, tolerance, uncertainty, verdict

P = "projects/<str:slug>/"
R = P + "revisions/<str:label>/"
B = P + "boards/<str:serial>/"
T = P + "targets/<str:key>/"
E = P + "evidence/<int:number>/"

urlpatterns = [
    path("schema/", SpectacularAPIView.as_view(), name="api-schema"),
    path("measurements/", measurements.MeasurementList.as_view()),
    path("measurements/<int:number>/", measurements.MeasurementDetail.as_view()),
    path("measurements/<int:number>/withdraw/", measurements.MeasurementWithdraw.as_view()),
    path("projects/", projects.ProjectList.as_view()),
    path(P, projects.ProjectDetail.as_view()),
    path(P + "members/", projects.MemberList.as_view()),
    path(P + "subsystems/", subsystems.SubsystemList.as_view()),
    path(P + "subsystems/<str:key>/", subsystems.SubsystemDetail.as_view()),
    path(P + "revisions/", revisions.RevisionList.as_view()),
    path(R, revisions.RevisionDetail.as_view()),
    path(R + "designed-positions/", revisions.DesignedPositionList.as_view()),
    path(R + "coverage/", derived.CoverageView.as_view()),
    path(R + "risks/", derived.RisksView.as_view()),
    path(R + "bench-plan/", bench_plan.BenchPlanView.as_view()),
    path(P + "boards/", boards.BoardList.as_view()),
    path(B, boards.BoardDetail.as_view()),
    path(B + "events/", boards.BoardEventList.as_view()),
    path(B + "option-settings/", boards.OptionSettingList.as_view()),
    path(P + "targets/", targets.TargetList.as_view()),
    path(P + "targets/from-templates/", check_templates.TargetsFromTemplates.as_view()),
    path(T, targets.TargetDetail.as_view()),
    path(T + "issues/", targets.IssueList.as_view()),
    path(T + "sample/", target_samples.TargetSampleView.as_view()),
    path(P + "calculations/", saved_calculations.CalculationList.as_view()),
    path(P + "calculations/<str:key>/", saved_calculations.CalculationDetail.as_view()),
    path(P + "bench-sessions/", bench_sessions.SessionList.as_view()),
    path(P + "bench-sessions/<int:number>/", bench_sessions.SessionDetail.as_view()),
    path(P + "reworks/", reworks.ReworkList.as_view()),
    path(P + "reworks/<int:number>/", reworks.ReworkDetail.as_view()),
    path(P + "reworks/<int:number>/undo/", reworks.ReworkUndo.as_view()),
    path(P + "options/", options.OptionList.as_view()),
    path(P + "options/<str:key>/", options.OptionDetail.as_view()),
    path(P + "evidence/", evidence.EvidenceList.as_view()),
    path(E, evidence.EvidenceDetail.as_view()),
    path(E + "content/", evidence.EvidenceContent.as_view()),
    path(E + "view/", evidence.EvidenceView.as_view()),
    path(E + "analyses/", evidence.AnalysisList.as_view()),
    path(E + "analyses/<int:analysis>/", evidence.AnalysisDetail.as_view()),
    path("check-templates/", check_templates.CheckTemplateList.as_view()),
    path("instruments/", instruments.InstrumentList.as_view()),
    path("instruments/<str:name>/", instruments.InstrumentDetail.as_view()),
    path("instruments/<str:name>/calibrations/", instruments.CalibrationList.as_view()),
    path("calculations/verdict/", verdict.VerdictView.as_view()),
    path("calculations/uncertainty/", uncertainty.UncertaintyView.as_view()),
    path("calculations/quantity/", parts.QuantityView.as_view()),
    path("calculations/preferred-value/", parts.PreferredValueView.as_view()),
    path("calculations/sample/", samples.SampleView.as_view()),
    path("calculations/attribute/", samples.AttributeView.as_view()),
    path("calculations/tolerance/", tolerance.ToleranceView.as_view()),
    path("calculations/signal/", signal.SignalView.as_view()),
]
