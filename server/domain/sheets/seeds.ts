import coniferFrame from '../../../seeds/targets/conifer/conifer-frame.json' with { type: 'json' };
import coniferMistMat from '../../../seeds/targets/conifer/conifer-mist-mat.json' with { type: 'json' };
import juniper from '../../../seeds/targets/conifer/juniper.json' with { type: 'json' };
import loblollyPine from '../../../seeds/targets/conifer/loblolly-pine.json' with { type: 'json' };
import sugi from '../../../seeds/targets/conifer/sugi.json' with { type: 'json' };
import yew from '../../../seeds/targets/conifer/yew.json' with { type: 'json' };
import blueberryHardwood from '../../../seeds/targets/hardwood/blueberry-hardwood.json' with { type: 'json' };
import fig from '../../../seeds/targets/hardwood/fig.json' with { type: 'json' };
import grape from '../../../seeds/targets/hardwood/grape.json' with { type: 'json' };
import hardwoodCaseMat from '../../../seeds/targets/hardwood/hardwood-case-mat.json' with { type: 'json' };
import hardwoodFrame from '../../../seeds/targets/hardwood/hardwood-frame.json' with { type: 'json' };
import benchRule from '../../../seeds/targets/herbaceous/bench-rule.json' with { type: 'json' };
import chrysanthemum from '../../../seeds/targets/herbaceous/chrysanthemum.json' with { type: 'json' };
import geranium from '../../../seeds/targets/herbaceous/geranium.json' with { type: 'json' };
import herbaceousCase from '../../../seeds/targets/herbaceous/herbaceous-case.json' with { type: 'json' };
import herbaceousCaseMat from '../../../seeds/targets/herbaceous/herbaceous-case-mat.json' with {
  type: 'json',
};
import herbaceousDome from '../../../seeds/targets/herbaceous/herbaceous-dome.json' with { type: 'json' };
import herbaceousMist from '../../../seeds/targets/herbaceous/herbaceous-mist.json' with { type: 'json' };
import herbaceousMistMat from '../../../seeds/targets/herbaceous/herbaceous-mist-mat.json' with {
  type: 'json',
};
import newGuineaImpatiens from '../../../seeds/targets/herbaceous/new-guinea-impatiens.json' with {
  type: 'json',
};
import petunia from '../../../seeds/targets/herbaceous/petunia.json' with { type: 'json' };
import poinsettia from '../../../seeds/targets/herbaceous/poinsettia.json' with { type: 'json' };
import verbena from '../../../seeds/targets/herbaceous/verbena.json' with { type: 'json' };
import africanViolet from '../../../seeds/targets/leaf/african-violet.json' with { type: 'json' };
import leafCaseMat from '../../../seeds/targets/leaf/leaf-case-mat.json' with { type: 'json' };
import leafDome from '../../../seeds/targets/leaf/leaf-dome.json' with { type: 'json' };
import stephanotis from '../../../seeds/targets/leaf/stephanotis.json' with { type: 'json' };
import azaleaEvergreen from '../../../seeds/targets/semi-hardwood/azalea-evergreen.json' with {
  type: 'json',
};
import boxwood from '../../../seeds/targets/semi-hardwood/boxwood.json' with { type: 'json' };
import camellia from '../../../seeds/targets/semi-hardwood/camellia.json' with { type: 'json' };
import ficusCroton from '../../../seeds/targets/semi-hardwood/ficus-croton.json' with { type: 'json' };
import hollyAmerican from '../../../seeds/targets/semi-hardwood/holly-american.json' with { type: 'json' };
import hollyEnglish from '../../../seeds/targets/semi-hardwood/holly-english.json' with { type: 'json' };
import lavenderRosemary from '../../../seeds/targets/semi-hardwood/lavender-rosemary.json' with {
  type: 'json',
};
import olive from '../../../seeds/targets/semi-hardwood/olive.json' with { type: 'json' };
import rhododendron from '../../../seeds/targets/semi-hardwood/rhododendron.json' with { type: 'json' };
import semiHardwoodCaseMat from '../../../seeds/targets/semi-hardwood/semi-hardwood-case-mat.json' with {
  type: 'json',
};
import semiHardwoodDome from '../../../seeds/targets/semi-hardwood/semi-hardwood-dome.json' with {
  type: 'json',
};
import semiHardwoodMistMat from '../../../seeds/targets/semi-hardwood/semi-hardwood-mist-mat.json' with {
  type: 'json',
};
import softwoodCaseMat from '../../../seeds/targets/softwood/softwood-case-mat.json' with { type: 'json' };
import softwoodMistMat from '../../../seeds/targets/softwood/softwood-mist-mat.json' with { type: 'json' };
import tropicalPineEucalypt from '../../../seeds/targets/softwood/tropical-pine-eucalypt.json' with {
  type: 'json',
};
import succulentBench from '../../../seeds/targets/succulent/succulent-bench.json' with { type: 'json' };

/** Every shipped sheet, as it is written down. */
export const SHEET_SEEDS: readonly unknown[] = [
  herbaceousMistMat,
  herbaceousMist,
  herbaceousCaseMat,
  herbaceousCase,
  herbaceousDome,
  softwoodMistMat,
  softwoodCaseMat,
  semiHardwoodMistMat,
  semiHardwoodCaseMat,
  semiHardwoodDome,
  hardwoodCaseMat,
  hardwoodFrame,
  leafDome,
  leafCaseMat,
  coniferMistMat,
  coniferFrame,
  succulentBench,
  benchRule,
  poinsettia,
  geranium,
  newGuineaImpatiens,
  petunia,
  verbena,
  chrysanthemum,
  camellia,
  rhododendron,
  juniper,
  boxwood,
  ficusCroton,
  stephanotis,
  lavenderRosemary,
  fig,
  blueberryHardwood,
  olive,
  tropicalPineEucalypt,
  loblollyPine,
  sugi,
  yew,
  hollyEnglish,
  hollyAmerican,
  azaleaEvergreen,
  grape,
  africanViolet,
];
